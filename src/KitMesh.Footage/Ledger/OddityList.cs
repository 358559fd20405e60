using KitMesh.Domain;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Footage.Ledger;

/// <summary>Keeps the newest oddities and counts all of them; four million odd copies must not fill the memory with words.</summary>
internal sealed class OddityList(LedgerFacts facts)
{
    private readonly SortedSet<Entry> _newest = new(new NewestFirst(facts));

    public int Total { get; private set; }

    /// <param name="stamp">The report that shows it.</param>
    /// <param name="subject">The thing it is about.</param>
    /// <param name="clip">The clip it is about.</param>
    /// <param name="message">Makes the words; called only for what is kept.</param>
    public void Add(in PackedStamp stamp, KitId subject, ClipHash? clip, Func<string> message)
    {
        Total++;
        var entry = new Entry(stamp, subject, clip, null);
        if (_newest.Count == LedgerView.MaxOddities)
        {
            if (_newest.Comparer.Compare(entry, _newest.Max) >= 0)
            {
                return;
            }

            _newest.Remove(_newest.Max!);
        }

        _newest.Add(entry with { Message = message() });
    }

    public ValueList<LedgerOddity> ToRows() => _newest
        .Select(entry => new LedgerOddity(
            facts.Key(entry.Stamp),
            Instant.FromUnixTimeTicks(entry.Stamp.Ticks),
            entry.Subject,
            entry.Clip,
            entry.Message!))
        .ToValueList();

    private sealed record Entry(PackedStamp Stamp, KitId Subject, ClipHash? Clip, string? Message);

    private sealed class NewestFirst(LedgerFacts facts) : IComparer<Entry>
    {
        public int Compare(Entry? left, Entry? right)
        {
            int byStamp = facts.Compare(right!.Stamp, left!.Stamp);
            if (byStamp != 0)
            {
                return byStamp;
            }

            int bySubject = left.Subject.CompareTo(right.Subject);
            return bySubject != 0 ? bySubject : Nullable.Compare(left.Clip, right.Clip);
        }
    }
}
