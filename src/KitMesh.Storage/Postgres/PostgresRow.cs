using KitMesh.Domain.Reports;

namespace KitMesh.Storage.Postgres;

/// <summary>A report on its way into the table.</summary>
/// <param name="Report">The report.</param>
/// <param name="Content">The first 128 bits of the SHA-256 of its bytes.</param>
/// <param name="Written">What the device's own clock said, in nanoseconds.</param>
/// <param name="Time">When it was written, as is believed now.</param>
/// <param name="Items">The things that it names, most important first.</param>
internal readonly record struct PostgresRow(IncomingReport Report, Guid Content, long Written, long Time, KitId[] Items)
{
    /// <summary>Prepares a report.</summary>
    public static PostgresRow Of(IncomingReport report)
    {
        Span<byte> hash = stackalloc byte[32];
        System.Security.Cryptography.SHA256.HashData(report.Raw.Bytes.Span, hash);
        return new PostgresRow(
            report,
            new Guid(hash[..16], bigEndian: true),
            Protocol.Nanoseconds.Of(report.Timed.Report.Written.Wall),
            Protocol.Nanoseconds.Of(report.Timed.Time),
            [.. ReportItems.Of(report.Timed.Report.Body).Distinct()]);
    }
}
