using System.Globalization;
using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>Tonight's list as a person reads it by headlamp: one line for all devices that are warmed together.</summary>
public static class ChargingWords
{
    /// <summary>Names of devices in one line before the rest is only counted.</summary>
    private const int MostNamed = 6;

    /// <summary>The lines, warming first.</summary>
    /// <param name="steps">The steps, by time.</param>
    /// <param name="zone">The crew's civil time.</param>
    public static IReadOnlyList<string> Of(IReadOnlyList<ChargingStep> steps, Offset zone)
    {
        ArgumentNullException.ThrowIfNull(steps);
        IEnumerable<string> warm = steps
            .Where(step => step.Kind == ChargingStepKind.Warm)
            .GroupBy(step => step.Until)
            .OrderBy(together => together.Key)
            .Select(together => together.Count() == 1 ? together.First().Words : Together([.. together], zone));
        return [.. warm, .. steps.Where(step => step.Kind != ChargingStepKind.Warm).Select(step => step.Words)];
    }

    /// <summary>Names in one phrase: "a", "a and b", "a, b and c"; past some, the rest is counted.</summary>
    /// <param name="names">The names.</param>
    /// <param name="most">The most that are named.</param>
    public static string Names(IReadOnlyList<string> names, int most = MostNamed)
    {
        ArgumentNullException.ThrowIfNull(names);
        return names.Count <= 1 ? string.Concat(names)
            : names.Count <= most ? $"{string.Join(", ", names.Take(names.Count - 1))} and {names[^1]}"
            : $"{string.Join(", ", names.Take(most))} and {names.Count - most} more";
    }

    private static string Together(IReadOnlyList<ChargingStep> steps, Offset zone)
    {
        string until = steps[0].Until.WithOffset(zone).TimeOfDay.ToString("HH:mm", CultureInfo.InvariantCulture);
        return $"now to {until}: warm the batteries of {Names([.. steps.Select(step => step.Load.Value)], int.MaxValue)} inside clothing or a warm tent; charge each only when it no longer feels cold";
    }
}
