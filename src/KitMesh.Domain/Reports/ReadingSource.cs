namespace KitMesh.Domain.Reports;

/// <summary>How a reading came to be.</summary>
public enum ReadingSource
{
    /// <summary>A sensor or device gave it.</summary>
    Measured = 0,

    /// <summary>A person read a meter and typed it.</summary>
    Typed = 1,

    /// <summary>Computed by the device from other values, not measured (a charge counter, for example).</summary>
    Estimated = 2,
}
