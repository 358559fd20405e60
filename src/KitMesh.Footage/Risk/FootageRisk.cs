using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Results;
using KitMesh.Footage.Ledger;

namespace KitMesh.Footage.Risk;

/// <summary>Answers how likely footage is lost by a date, by clip, by day and at all.</summary>
public static class FootageRisk
{
    /// <summary>Groups of clips listed as the worst.</summary>
    public const int MostWorst = 20;

    private const string Assuming = "as listed under assumes";

    private static readonly LossEnd[] Ends = [LossEnd.Kind, LossEnd.Middle, LossEnd.Harsh];

    /// <summary>The risk.</summary>
    /// <param name="world">Holdings, span and figures.</param>
    public static LossRisk Of(LossWorld world)
    {
        LossModel[] models = [.. Ends.Select(world.Model)];
        ValueList<HeldGroup> groups = world.Holdings.Groups;
        LossBounds[] any = [.. Ends.Select((end, i) => models[i].AnyLost(world.MergedSets(groups, end)))];
        List<ClipRisk> worst = [.. Worst(world, models)];
        return new LossRisk(
            world.Holdings.AsOf,
            world.Until,
            new ChanceRange(Chance(any[0].Lower), Chance(any[1].Upper), Chance(any[2].Upper), Assuming),
            any.All(bounds => bounds.IsExact),
            ExpectedHours(world, models[1], groups),
            Days(world, models).ToValueList(),
            worst.ToValueList(),
            world.Parameters.Sources);
    }

    private static IEnumerable<DayRisk> Days(LossWorld world, LossModel[] models) => world.Holdings.Groups
        .GroupBy(group => (group.Day, group.Team))
        .OrderBy(day => day.Key.Day)
        .ThenBy(day => day.Key.Team)
        .Select(day => new DayRisk(
            day.Key.Day,
            day.Key.Team,
            day.Sum(group => group.Clips),
            Range(end => models[(int)end].AnyLost(world.MergedSets(day, end)).Upper),
            ExpectedHours(world, models[1], day)));

    private static IEnumerable<ClipRisk> Worst(LossWorld world, LossModel[] models) => world.Holdings.Groups
        .GroupBy(group => (string.Join('\n', group.Drives), string.Join('\n', group.MadeDrives), group.Card is not null))
        .Select(same => Risk(world, models, [.. same]))
        .OrderByDescending(risk => risk.EachLost.Best.Value)
        .ThenBy(risk => risk.FirstDay)
        .ThenBy(risk => risk.Example)
        .Take(MostWorst);

    private static ClipRisk Risk(LossWorld world, LossModel[] models, List<HeldGroup> same)
    {
        HeldGroup largest = same.MaxBy(group => group.Size.Value / (double)group.Clips)!;
        return new ClipRisk(
            largest.Drives.Concat(largest.MadeDrives).Order().ToValueList(),
            largest.Card is not null,
            same.Sum(group => group.Clips),
            same.Sum(group => group.Length.TotalHours),
            same.Min(group => group.Day),
            same.Max(group => group.Day),
            largest.Example,
            Range(end => models[(int)end].ClipLost(world.Set(largest, end))));
    }

    private static double ExpectedHours(LossWorld world, LossModel model, IEnumerable<HeldGroup> groups) =>
        groups.Sum(group => group.Length.TotalHours * model.ClipLost(world.Set(group, LossEnd.Middle)));

    private static ChanceRange Range(Func<LossEnd, double> chance) => new(
        Chance(chance(LossEnd.Kind)),
        Chance(chance(LossEnd.Middle)),
        Chance(chance(LossEnd.Harsh)),
        Assuming);

    private static Probability Chance(double value) => new(Math.Clamp(value, 0, 1));
}
