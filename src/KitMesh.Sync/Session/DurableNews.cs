using KitMesh.Domain;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal;

namespace KitMesh.Sync.Session;

/// <summary>Tells the peer what became durable here: its acknowledgement, and what it need not send any more.</summary>
/// <param name="journal">What is durable.</param>
/// <param name="progress">What was told before.</param>
internal sealed class DurableNews(IJournalView journal, ProgressTable progress)
{
    private readonly SortedSet<OriginId> _changed = [];

    /// <summary>An origin may have grown.</summary>
    public void Look(OriginId origin) => _changed.Add(origin);

    /// <summary>What is new since the last time, or null.</summary>
    public DurableFrame? Next()
    {
        var news = new List<OriginRanges>();
        while (news.Count < HoldingsFrame.MaxHoldings && _changed.Count > 0)
        {
            OriginId origin = _changed.Min;
            _changed.Remove(origin);
            OriginProgress told = progress.Of(origin);
            SequenceRanges ranges = journal.Have(origin)?.Ranges ?? SequenceRanges.Empty;
            SequenceRanges grown = ranges.Except(told.Told);
            told.Told = ranges;
            if (!grown.IsEmpty)
            {
                news.Add(new OriginRanges(origin, grown));
            }
        }

        return news.Count == 0 ? null : new DurableFrame(news.ToValueList());
    }
}
