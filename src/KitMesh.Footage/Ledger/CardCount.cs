using KitMesh.Domain.Reports;

namespace KitMesh.Footage.Ledger;

/// <summary>Counts what keeps one card on hold.</summary>
internal sealed class CardCount
{
    public CardCount(LedgerFacts facts, ClipEntry[] entries, int[] positions, CardContent content, KeeperRelease? release)
    {
        Release = release;
        foreach ((int clip, int row) in content.OnCard)
        {
            ref ClipEntry entry = ref entries[positions[clip]];
            LeastCopies = Math.Min(LeastCopies, entry.Proof.Copies);
            Damaged += facts.Sightings[row].Damage >= 0 ? 1 : 0;
            if (!entry.MeetsRule)
            {
                (IsGivenUp(facts, content, row) ? GivenUp : Short).Add(clip);
            }
        }

        foreach ((int clip, int row) in content.Gone)
        {
            ref ClipEntry entry = ref entries[positions[clip]];
            LeastGoneCopies = Math.Min(LeastGoneCopies, entry.Proof.Copies);
            if (!entry.MeetsRuleButForAge && !IsGivenUp(facts, content, row))
            {
                GoneShort.Add(clip);
            }
        }

        Faults = [.. content.StandingFaults().Where(fault => release is null || !LedgerFacts.Precedes(fault.Stamp, release.Stamp))];
        LeastCopies = content.OnCard.Count == 0 ? 0 : LeastCopies;
        LeastGoneCopies = content.Gone.Count == 0 ? 0 : LeastGoneCopies;
    }

    public KeeperRelease? Release { get; }

    /// <summary>Clips on the card that do not meet the rule.</summary>
    public List<int> Short { get; } = [];

    /// <summary>Clips on the card that do not meet the rule and that a keeper gave up.</summary>
    public List<int> GivenUp { get; } = [];

    /// <summary>Clips no longer on the card that do not meet the rule.</summary>
    public HashSet<int> GoneShort { get; } = [];

    public List<(PackedStamp Stamp, CopyFailed Fact)> Faults { get; }

    public int LeastCopies { get; private set; } = int.MaxValue;

    public int LeastGoneCopies { get; private set; } = int.MaxValue;

    /// <summary>Clips that are damaged in themselves; a perfect copy of them is still damaged.</summary>
    public int Damaged { get; private set; }

    private bool IsGivenUp(LedgerFacts facts, CardContent content, int row)
    {
        ref Sighting sighting = ref facts.Sightings[row];
        return Release is { } release
            && content.Order(facts.Visits[sighting.Visit]) <= release.VisitOrder
            && LedgerFacts.Precedes(sighting.Stamp, release.Stamp);
    }
}
