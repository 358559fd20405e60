using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;

namespace KitMesh.Outlook.Plan;

// Problem: which drives go home with whom, so that a bag that is lost never held all copies of anything.
// Trap: spreading drives over people evenly mixes copies: two drives in one bag may be the only two with a clip.
// Method: the drives are split into as many sets as there are copies, and each set always gets one copy of everything; a bag holds drives of one set only. The split gives the
// smallest set the most room, which is the problem of partition: all assignments are tried up to 200,000, past that the largest drive goes to the set with the least room (R. Graham,
// "Bounds on multiprocessing timing anomalies", SIAM J. Appl. Math. 17 (1969) 416 to 429; from memory). Of equal ones, that which leaves most drives with the carrier of their case.
// Drives that are cleared again and again hold no copy and are left out. Check: HomeSplitTests.

/// <summary>Splits the drives for the way home.</summary>
internal static class HomeSplit
{
    private const int MostAssignments = 200_000;

    internal static IEnumerable<HomeBag> Of(ValueList<KitItem> kit, int copies, double neededGigabytes)
    {
        Drive[] drives = [.. kit.OfType<Drive>().Where(drive => !drive.Intermediate).OrderByDescending(drive => drive.Capacity.Value).ThenBy(drive => drive.Id)];
        int sets = Math.Min(copies, drives.Length);
        if (sets < 1)
        {
            yield break;
        }

        Dictionary<KitId, KitId?> carriers = kit.OfType<Case>().ToDictionary(one => one.Id, one => one.Carrier);
        KitId[] people = [.. kit.OfType<Person>().Select(person => person.Id)];
        KitId?[] home = [.. drives.Select(drive => drive.Case is { } into && carriers.GetValueOrDefault(into) is { } who && people.Contains(who) ? (KitId?)who : null)];
        int[] split = Split(drives, sets, home);
        KitId?[] bearers = Bearers(split, sets, home, people);
        for (int set = 0; set < sets; set++)
        {
            Drive[] own = [.. drives.Where((_, i) => split[i] == set)];
            double room = own.Sum(drive => drive.Capacity.Value) / 1e9;
            yield return new HomeBag(bearers[set], set + 1, own.Select(drive => drive.Id).Order().ToValueList(), room, room >= neededGigabytes);
        }
    }

    private static int[] Split(Drive[] drives, int sets, KitId?[] home)
    {
        int[] best = Largest(drives, sets);
        if (Math.Pow(sets, drives.Length) > MostAssignments)
        {
            return best;
        }

        (double Room, int Kept) worth = Worth(drives, best, sets, home);
        int[] tried = new int[drives.Length];
        do
        {
            (double Room, int Kept) now = Worth(drives, tried, sets, home);
            if (now.CompareTo(worth) > 0)
            {
                (worth, best) = (now, (int[])tried.Clone());
            }
        }
        while (Next(tried, sets));
        return best;
    }

    private static int[] Largest(Drive[] drives, int sets)
    {
        double[] room = new double[sets];
        return [.. drives.Select(drive =>
        {
            int set = Array.IndexOf(room, room.Min());
            room[set] += drive.Capacity.Value;
            return set;
        })];
    }

    private static bool Next(int[] split, int sets)
    {
        for (int i = 0; i < split.Length; i++)
        {
            if (++split[i] < sets)
            {
                return true;
            }

            split[i] = 0;
        }

        return false;
    }

    // Room of the smallest set, then drives that ride with most of their set's.
    private static (double Room, int Kept) Worth(Drive[] drives, int[] split, int sets, KitId?[] home)
    {
        double least = double.MaxValue;
        int kept = 0;
        for (int set = 0; set < sets; set++)
        {
            double room = 0;
            var seen = new Dictionary<KitId, int>();
            for (int i = 0; i < drives.Length; i++)
            {
                if (split[i] == set)
                {
                    room += drives[i].Capacity.Value;
                    if (home[i] is { } who)
                    {
                        seen[who] = seen.GetValueOrDefault(who) + 1;
                    }
                }
            }

            least = Math.Min(least, room);
            kept += seen.Count > 0 ? seen.Values.Max() : 0;
        }

        return (least, kept);
    }

    // Each set to whoever has most of its drives already, then to whoever is left; nobody gets two.
    private static KitId?[] Bearers(int[] split, int sets, KitId?[] home, KitId[] people)
    {
        var bearers = new KitId?[sets];
        var free = people.ToList();
        for (int set = 0; set < sets; set++)
        {
            KitId? most = home.Where((who, i) => split[i] == set && who is { } one && free.Contains(one)).GroupBy(who => who).OrderByDescending(group => group.Count()).Select(group => group.Key).FirstOrDefault();
            if (most is { } bearer)
            {
                bearers[set] = bearer;
                free.Remove(bearer);
            }
        }

        for (int set = 0; set < sets; set++)
        {
            if (bearers[set] is null && free.Count > 0)
            {
                bearers[set] = free[0];
                free.RemoveAt(0);
            }
        }

        return bearers;
    }
}
