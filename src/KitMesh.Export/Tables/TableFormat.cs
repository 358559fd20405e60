namespace KitMesh.Export.Tables;

/// <summary>How tables are written.</summary>
public enum TableFormat
{
    /// <summary>Apache Parquet.</summary>
    Parquet = 0,

    /// <summary>CSV with a head line (RFC 4180), UTF-8.</summary>
    Csv = 1,
}
