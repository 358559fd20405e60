using System.Globalization;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Reports;
using KitMesh.Domain.State;
using KitMesh.Protocol.Exchange;
using KitMesh.Protocol.Reports;
using KitMesh.Protocol.V1;
using Report = KitMesh.Domain.Reports.Report;

namespace KitMesh.Cli.Asking;

/// <summary>Fetches every report that a running hub holds, page by page.</summary>
internal static class ReportPagesReader
{
    private const int PageSize = 1_000;
    private const int Most = 3_000_000;

    /// <summary>All of them, newest first. What arrives meanwhile is left for the next time.</summary>
    /// <param name="hub">The hub.</param>
    /// <param name="talk">Where to say how far it is.</param>
    /// <exception cref="CommandFault">There are more than fit.</exception>
    public static async Task<List<ContentReport>> AllAsync(HubClient hub, Talk talk)
    {
        double held = Math.Max(1, (await hub.StatusAsync()).Reports);
        var reports = new List<ContentReport>();
        await talk.WithProgressAsync("reports", async progress =>
        {
            var request = new GetReportsRequest { PageSize = PageSize };
            do
            {
                GetReportsResponse page = await hub.ReportsAsync(request);
                reports.AddRange(page.Reports.Select(Read).OfType<ContentReport>());
                request.PageToken = page.NextPageToken;
                progress(Math.Min(1, reports.Count / held));
                if (reports.Count > Most)
                {
                    throw CommandFault.BadInput(
                        string.Create(CultureInfo.InvariantCulture, $"The hub holds more than {Most:#,0} reports, too many to fetch."), "Stop the hub and name its data folder instead.");
                }
            }
            while (request.PageToken.Length > 0);
        });
        return reports;
    }

    private static ContentReport? Read(ReportLine line) =>
        line.Report is { } message && OriginCodec.TryRead(line.Origin, out OriginId origin) && Sha256Hash.TryParse(line.ContentHash, out Sha256Hash content)
            ? new ContentReport(ReportCodec.FromMessage(new ReportKey(origin, line.Sequence), message), content)
            : null;
}
