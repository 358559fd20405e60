using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Planning;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;

namespace KitMesh.Outlook.Plan;

// Problem: what one more of each choice saves. Method: the chance with one more against the chance as declared; the drop for each kilogram ranks them.
// A drive that fails leaves the rest with its share: the chance of finding no room is weighed over no drive failing, each one failing, and more than one, which counts as no room.
// A drive goes out of use by its declared yearly rate, and by the failed copies that earlier trips counted on it: a drive with a failed copy is set aside (common practice, no source).

/// <summary>Ranks one more of each choice.</summary>
internal static class PlanSpares
{
    /// <summary>Paths of the rolls behind the spares.</summary>
    private const int SparePaths = 2_000;

    /// <summary>More drives than that are weighed without failures: each takes a footage outlook of its own.</summary>
    private const int MostDrives = 24;

    private const double DaysPerYear = 365.25;

    internal static IEnumerable<SpareWorth> Of(PlanQuestion question, PlanWorld world, FootageOutlook? footage)
    {
        var spares = new List<SpareWorth>();
        var before = new Dictionary<KitId, double>();
        double? room = null;
        foreach (KitChoice choice in question.Extras.Choices)
        {
            IEnumerable<KitItem> more = KitCounts.With(question.Kit, choice.Item, choice.Kind, 2);
            if (LightestKits.BankOf(choice, question.Kit) is { } bank)
            {
                before.TryAdd(bank, before.TryGetValue(bank, out double known) ? known : world.ShortChance(bank, question.Kit, SparePaths));
                spares.Add(new SpareWorth(choice.Item, choice.Mass, new Probability(before[bank]), new Probability(world.ShortChance(bank, more, SparePaths)), bank.Value));
            }
            else if (choice.Kind == KitKind.Drive && footage is not null)
            {
                room ??= NoRoom(question, world, [.. question.Kit]);
                spares.Add(new SpareWorth(choice.Item, choice.Mass, new Probability(room.Value), new Probability(NoRoom(question, world, [.. more])), "footage"));
            }
        }

        return spares.OrderByDescending(spare => (spare.Before.Value - spare.After.Value) / spare.Mass.Value).ThenBy(spare => spare.Mass.Value);
    }

    /// <summary>Chance that a drive goes out of use on a trip.</summary>
    /// <param name="drive">The drive.</param>
    /// <param name="failures">What earlier trips counted.</param>
    /// <param name="days">Days of the trip.</param>
    internal static double OutOfUse(Drive drive, IEnumerable<LearntFailure> failures, int days)
    {
        double yearly = -Math.Log(1 - Math.Clamp(drive.AnnualFailureRate, 0, 0.999));
        double learnt = failures.FirstOrDefault(one => one.Item == drive.Id)?.PerDay ?? 0;
        return 1 - Math.Exp(-((yearly / DaysPerYear) + learnt) * days);
    }

    private static double NoRoom(PlanQuestion question, PlanWorld world, KitItem[] kit)
    {
        double Without(Drive? gone) => world.Footage(kit.Where(item => item != gone)) is { } left ? 1 - left.RoomLasts.Value : 1;
        Drive[] drives = [.. kit.OfType<Drive>()];
        double whole = Without(null);
        if (drives.Length > MostDrives)
        {
            return whole;
        }

        double[] fails = [.. drives.Select(drive => OutOfUse(drive, question.Failures, world.Days))];
        double none = fails.Aggregate(1.0, (product, chance) => product * (1 - chance));
        double sum = none * whole;
        double one = none;

        // Drives of one size and case leave the same behind: each kind is asked once.
        var known = new Dictionary<(KitId?, double, bool), double>();
        for (int i = 0; i < drives.Length; i++)
        {
            double alone = none / (1 - fails[i]) * fails[i];
            (KitId?, double, bool) kind = (drives[i].Case, drives[i].Capacity.Value, drives[i].Intermediate);
            if (!known.TryGetValue(kind, out double without))
            {
                known[kind] = without = Without(drives[i]);
            }

            sum += alone * without;
            one += alone;
        }

        return Math.Clamp(sum + Math.Max(0, 1 - one), 0, 1);
    }
}
