using KitMesh.Domain.Reports;

namespace KitMesh.Protocol.Reports;

/// <summary>How a reading came to be; measured goes without saying, and what is not known counts as estimated.</summary>
internal static class ReadingSourceCodec
{
    public static V1.ReadingSource Write(ReadingSource source) => source switch
    {
        ReadingSource.Measured => V1.ReadingSource.Unspecified,
        ReadingSource.Typed => V1.ReadingSource.Typed,
        _ => V1.ReadingSource.Estimated,
    };

    public static ReadingSource Read(V1.ReadingSource source) => source switch
    {
        V1.ReadingSource.Unspecified or V1.ReadingSource.Measured => ReadingSource.Measured,
        V1.ReadingSource.Typed => ReadingSource.Typed,
        _ => ReadingSource.Estimated,
    };
}
