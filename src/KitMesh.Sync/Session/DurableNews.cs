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
    /// <param name="peer">Who is told: of what it writes itself it also hears the chain, for numbers do not say which reports are meant.</param>
    public DurableFrame? Next(NodeId peer)
    {
        var news = new List<DurableOrigin>();
        while (news.Count < HoldingsFrame.MaxHoldings && _changed.Count > 0)
        {
            OriginId origin = _changed.Min;
            _changed.Remove(origin);
            OriginProgress told = progress.Of(origin);
            OriginHolding? held = journal.Have(origin);
            SequenceRanges ranges = held?.Ranges ?? SequenceRanges.Empty;
            SequenceRanges grown = ranges.Except(told.Told);
            told.Told = ranges;
            if (!grown.IsEmpty)
            {
                news.Add(held is { ChainSequence: > 0 } && origin.Node == peer
                    ? new DurableOrigin(origin, grown, held.ChainSequence, held.ChainHash)
                    : new DurableOrigin(origin, grown));
            }
        }

        return news.Count == 0 ? null : new DurableFrame(news.ToValueList());
    }
}
