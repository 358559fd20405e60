using System.Runtime.InteropServices;
using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;

namespace KitMesh.Footage.Ledger;

/// <summary>
/// Says of each intermediate drive what may be cleared, and in which order.
/// </summary>
/// <remarks>
/// A station's own disk is a card to the copy rule: a clip on it may go when the clip meets its rule without that disk,
/// which is how <see cref="SnapshotBuild"/> counts anyway. Footage lies there by day, so a day goes whole or not at all.
/// What has most copies in most cases goes first, and the oldest of those.
/// </remarks>
internal sealed class ClearingTally
{
    private readonly Dictionary<(int Rank, int DayTeam), Tally> _tallies = [];
    private readonly DriveView[] _byRank;
    private readonly List<DayTally> _days;

    public ClearingTally(ClipEntry[] entries, IdSets driveSets, DriveView[] byRank, List<DayTally> days)
    {
        _byRank = byRank;
        _days = days;
        foreach (ref readonly ClipEntry entry in entries.AsSpan())
        {
            if (entry.OnIntermediates == IdSets.Empty)
            {
                continue;
            }

            foreach (int rank in driveSets[entry.OnIntermediates])
            {
                ref Tally tally = ref CollectionsMarshal.GetValueRefOrAddDefault(_tallies, (rank, entry.DayTeam), out bool known);
                tally.LeastCopies = known ? Math.Min(tally.LeastCopies, entry.Proof.Copies) : entry.Proof.Copies;
                tally.LeastCases = known ? Math.Min(tally.LeastCases, entry.Proof.Cases) : entry.Proof.Cases;
                tally.Clips++;
                tally.Short += entry.MeetsRule ? 0 : 1;
                tally.Size += Math.Max(0, entry.Facts.Size);
            }
        }
    }

    public ValueList<ClearingRow> Rows(KitView kit, DriveTally[] driveTallies) => _byRank
        .Where(drive => drive.IsIntermediate)
        .Select(drive => Row(drive, kit, driveTallies[drive.Rank]))
        .ToValueList();

    private ClearingRow Row(DriveView drive, KitView kit, DriveTally counted)
    {
        ClearingStep[] steps = [.. _tallies.Where(entry => entry.Key.Rank == drive.Rank).Select(entry => Step(_days[entry.Key.DayTeam], entry.Value))];
        return new ClearingRow(
            drive.Name,
            drive.Chain.Where(holder => kit.Find<Team>(KitKind.Team, holder) is not null).Select(team => (KitId?)team).FirstOrDefault(),
            counted.Capacity,
            counted.Free,
            new ByteCount(steps.Sum(step => step.Size.Value)),
            new ByteCount(steps.Where(step => step.MayBeCleared).Sum(step => step.Size.Value)),
            [.. Clearable(steps), .. steps.Where(step => !step.MayBeCleared).OrderBy(step => step.Day).ThenBy(step => step.Team)]);
    }

    private static IEnumerable<ClearingStep> Clearable(ClearingStep[] steps) => steps
        .Where(step => step.MayBeCleared)
        .OrderByDescending(step => step.LeastCopies)
        .ThenByDescending(step => step.LeastCases)
        .ThenBy(step => step.Day)
        .ThenBy(step => step.Team);

    private static ClearingStep Step(DayTally day, Tally tally) => new(
        day.Day,
        day.Team,
        tally.Clips,
        new ByteCount(tally.Size),
        tally.Short == 0,
        tally.LeastCopies,
        tally.LeastCases,
        tally.Short == 0
            ? $"every clip has {tally.LeastCopies} proven copies or more in {tally.LeastCases} cases or more elsewhere, as its rule asks"
            : $"{tally.Short} of {tally.Clips} clips are short of proof elsewhere: the fewest have {tally.LeastCopies} proven copies in {tally.LeastCases} cases");

    private struct Tally
    {
        public int Clips;
        public int Short;
        public long Size;
        public int LeastCopies;
        public int LeastCases;
    }
}
