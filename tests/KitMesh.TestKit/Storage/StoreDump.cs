using System.Globalization;
using System.Text;
using KitMesh.Storage;
using KitMesh.Storage.Queries;
using KitMesh.Storage.RollUps;

namespace KitMesh.TestKit.Storage;

/// <summary>Everything a store answers, as text: two stores are alike when their dumps are.</summary>
public static class StoreDump
{
    public static async Task<string> OfAsync(IReportStore store, bool withArrival = true)
    {
        var text = new StringBuilder();
        void Line(FormattableString line) => text.Append(line.ToString(CultureInfo.InvariantCulture)).Append('\n');
        foreach (KeptReport report in await AllAsync(store, new ReportQuery(Limit: 7)))
        {
            Line($"{Protocol.Nanoseconds.Of(report.Time)} {report.Raw.Key} {(withArrival ? report.Arrived : default)} {Convert.ToHexString(report.Raw.Bytes.Span)}");
        }

        foreach ((var kind, long count) in await store.CountByKindAsync(default))
        {
            Line($"{kind} {count}");
        }

        foreach (Watermark mark in await store.ReadWatermarksAsync(default))
        {
            Line($"{mark.Origin} {mark.Ranges} {mark.Oldest} {mark.Newest} forks {mark.Forks}");
        }

        foreach (SeriesKey series in await store.ListSeriesAsync(default))
        {
            foreach (RollUpSpan span in Enum.GetValues<RollUpSpan>())
            {
                foreach (RollUp rollUp in await store.ReadRollUpsAsync(new RollUpQuery(series, span, ReportMaker.Start - NodaTime.Duration.FromDays(9), ReportMaker.Start + NodaTime.Duration.FromDays(30)), default))
                {
                    Line($"{series} {rollUp}");
                }
            }
        }

        return text.ToString();
    }

    public static async Task<IReadOnlyList<KeptReport>> AllAsync(IReportStore store, ReportQuery query)
    {
        var all = new List<KeptReport>();
        ReportPage page;
        do
        {
            page = await store.ReadAsync(query, default);
            all.AddRange(page.Reports);
            query = query with { After = page.Next };
        }
        while (page.Next is not null);

        return all;
    }
}
