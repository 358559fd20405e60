using KitMesh.Domain;
using KitMesh.Domain.Reports;
using KitMesh.Footage.Ledger;

namespace KitMesh.Outlook.Footage;

/// <summary>
/// How much footage the drives still take under a copy rule, and which drive fills when.
/// </summary>
/// <remarks>
/// <para>Every byte goes to k different drives that lie in at least c different cases. So V gigabytes fit exactly when each
/// drive takes at most V, all drives of one case together take at most (k - c + 1)·V, drives in no declared case together
/// at most (k - c)·V, and k·V is reached. Bytes can be split as finely as wanted, so that these limits, which nest, are
/// also enough (a flow through a tree of limits).</para>
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
    public double Volume(int copies, int cases)
    {
        int spread = Math.Min(cases, copies);
        double low = 0;
        double high = _drives.Sum(drive => drive.Free) / copies;
        if (Supply(high, copies, spread) >= copies * high * (1 - 1e-12))
        {
            return high;
        }

        for (int step = 0; step < 100; step++)
        {
            double middle = (low + high) / 2;
            (low, high) = Supply(middle, copies, spread) >= copies * middle ? (middle, high) : (low, middle);
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
    public IReadOnlyDictionary<KitId, (double FullAt, double Share)> Filling(int copies, int cases)
    {
        double total = Volume(copies, cases);
        double piece = total / Pieces;
        var left = _drives.ToArray();
        var fullAt = new double[left.Length];
        Array.Fill(fullAt, double.PositiveInfinity);
        for (int i = 1; i <= Pieces && piece > 0; i++)
        {
            foreach (int at in Chosen(left, copies, cases))
            {
                left[at].Free -= piece;
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

    private double Supply(double volume, int copies, int cases) => _drives
        .GroupBy(drive => drive.Case)
        .Sum(inside => Math.Min(
            inside.Sum(drive => Math.Min(drive.Free, volume)),
            volume * (inside.Key is null ? copies - cases : copies - Math.Max(cases, 1) + 1)));
}
