using KitMesh.Domain;
using KitMesh.Domain.Reports;
using KitMesh.Footage.Ledger;

namespace KitMesh.Outlook.Footage;

/// <summary>
/// How much footage the drives still take under a copy rule, and which drive fills when.
/// </summary>
/// <remarks>
/// <para>Every byte goes to k different drives that lie in at least c different cases, and each source may have a rule of its
/// own. So V gigabytes fit exactly when each drive takes at most V_s of source s, all drives of one case together at most
/// (k_s - c_s + 1)·V_s, drives in no declared case together at most (k_s - c_s)·V_s, no drive more than its room, and
/// k_s·V_s is reached. Bytes can be split as finely as wanted; this is a flow from sources through cases to drives, so
/// that by the max-flow min-cut theorem (L. Ford, D. Fulkerson, 1956) V fits when no cut is smaller than what must pass:
/// for each set S of sources, Σ_S k·V ≤ Σ over cases of the least, over K ⊆ S, of Σ_(S\K) limit + Σ_drives min(room, Σ_K V).
/// There are a handful of different rules, so all sets are tried. The limit of a case is exact up to three copies; four
/// copies in three cases could still lie two and two, so that there V is an upper bound.</para>
/// <para>Which drive fills when depends on where people put things. Here: each next piece goes to the k drives with most
/// room, in c cases; it fills the small drives last and keeps the rule alive longest.</para>
/// </remarks>
internal sealed class DriveRoom
{
    private const int Pieces = 400;

    private readonly (KitId Drive, KitId? Case, double Free)[] _drives;

    public DriveRoom(IEnumerable<HeldDrive> drives) =>
        _drives = [.. drives.Where(drive => drive is { CanTakeCopies: true, Free: not null }).Select(drive => (drive.Drive, drive.Case, drive.Free!.Value.Gigabytes))];

    private DriveRoom((KitId, KitId?, double)[] drives) => _drives = drives;

    public IReadOnlyList<(KitId Drive, KitId? Case, double Free)> Drives => _drives;

    /// <summary>Gigabytes of footage that fit with k copies in c cases.</summary>
    public double Volume(int copies, int cases) => Volume([new CopyDemand(1, copies, Math.Min(cases, copies))]);

    /// <summary>Gigabytes of footage that fit when each share of it is copied by its own rule.</summary>
    public double Volume(IReadOnlyList<CopyDemand> demands)
    {
        if (demands.Count == 0)
        {
            return double.PositiveInfinity;
        }

        double low = 0;
        double high = _drives.Sum(drive => drive.Free) / demands.Sum(demand => demand.Share * demand.Copies);
        if (Fits(high * (1 - 1e-12), demands))
        {
            return high;
        }

        for (int step = 0; step < 100; step++)
        {
            double middle = (low + high) / 2;
            (low, high) = Fits(middle, demands) ? (middle, high) : (low, middle);
        }

        return low;
    }

    /// <summary>The room that is left when some gigabytes of copies, counted each, were written where most room is.</summary>
    public DriveRoom After(double gigabytesOfCopies)
    {
        var left = _drives.ToArray();
        double piece = gigabytesOfCopies / Pieces;
        for (int i = 0; i < Pieces && piece > 0 && left.Length > 0; i++)
        {
            int roomiest = Enumerable.Range(0, left.Length).MaxBy(at => left[at].Free);
            left[roomiest].Free = Math.Max(0, left[roomiest].Free - piece);
        }

        return new DriveRoom(left);
    }

    /// <summary>
    /// For each drive, the footage that has come when it is full (infinity when it never fills before the others refuse), and
    /// how much of each gigabyte of footage goes to it until then.
    /// </summary>
    public IReadOnlyDictionary<KitId, (double FullAt, double Share)> Filling(IReadOnlyList<CopyDemand> demands)
    {
        double total = Volume(demands);
        double piece = demands.Count == 0 ? 0 : total / Pieces;
        var left = _drives.ToArray();
        var fullAt = new double[left.Length];
        Array.Fill(fullAt, double.PositiveInfinity);
        for (int i = 1; i <= Pieces && piece > 0; i++)
        {
            foreach (CopyDemand demand in demands)
            {
                foreach (int at in Chosen(left, demand.Copies, demand.Cases))
                {
                    left[at].Free -= piece * demand.Share;
                }
            }

            for (int at = 0; at < left.Length; at++)
            {
                if (left[at].Free <= piece / 2 && double.IsInfinity(fullAt[at]))
                {
                    fullAt[at] = i * piece;
                }
            }
        }

        Dictionary<KitId, (double, double)> filling = [];
        for (int at = 0; at < left.Length; at++)
        {
            // What is left after the last whole piece is rounding, not room.
            double full = _drives[at].Free <= 0 ? 0 : left[at].Free <= 2 * piece ? Math.Min(fullAt[at], total) : fullAt[at];
            double share = total <= 0 ? 0 : (_drives[at].Free - Math.Max(0, left[at].Free)) / Math.Min(total, full > 0 ? full : total);
            filling.Add(_drives[at].Drive, (full, share));
        }

        return filling;
    }

    private static List<int> Chosen((KitId Drive, KitId? Case, double Free)[] drives, int copies, int cases)
    {
        List<int> byRoom = [.. Enumerable.Range(0, drives.Length).Where(at => drives[at].Free > 0).OrderByDescending(at => drives[at].Free)];
        List<int> chosen = [];
        HashSet<KitId> used = [];
        foreach (int at in byRoom)
        {
            // The first c copies go to different cases; the rest anywhere.
            bool mustSpread = chosen.Count < Math.Min(cases, copies);
            if (chosen.Count < copies && (!mustSpread || (drives[at].Case is { } inside && used.Add(inside))))
            {
                chosen.Add(at);
            }
        }

        foreach (int at in byRoom.Where(at => !chosen.Contains(at)).Take(copies - chosen.Count))
        {
            chosen.Add(at);
        }

        return chosen;
    }

    private bool Fits(double volume, IReadOnlyList<CopyDemand> demands)
    {
        IGrouping<KitId?, (KitId Drive, KitId? Case, double Free)>[] cases = [.. _drives.GroupBy(drive => drive.Case)];
        for (int sources = 1; sources < 1 << demands.Count; sources++)
        {
            double asked = 0;
            for (int i = 0; i < demands.Count; i++)
            {
                asked += (sources >> i & 1) * demands[i].Share * demands[i].Copies * volume;
            }

            // Equal to the last digit is often what is asked: three drives for three copies.
            if (cases.Sum(inside => LeastCut(inside, sources, volume, demands)) < asked * (1 - 1e-12))
            {
                return false;
            }
        }

        return true;
    }

    /// <summary>What the drives of one case take at most of some sources: the least cut through it.</summary>
    private static double LeastCut(
        IGrouping<KitId?, (KitId Drive, KitId? Case, double Free)> inside, int sources, double volume, IReadOnlyList<CopyDemand> demands)
    {
        double least = double.PositiveInfinity;
        for (int kept = sources; ; kept = (kept - 1) & sources)
        {
            double cut = 0;
            double ofKept = 0;
            for (int i = 0; i < demands.Count; i++)
            {
                CopyDemand demand = demands[i];
                int spread = inside.Key is null ? demand.Copies - demand.Cases : demand.Copies - Math.Max(demand.Cases, 1) + 1;
                ofKept += (kept >> i & 1) * demand.Share * volume;
                cut += ((sources & ~kept) >> i & 1) * spread * demand.Share * volume;
            }

            foreach ((_, _, double free) in inside)
            {
                cut += Math.Min(free, ofKept);
            }

            least = Math.Min(least, cut);
            if (kept == 0)
            {
                return least;
            }
        }
    }
}
