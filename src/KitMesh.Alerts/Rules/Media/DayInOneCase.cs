using System.Globalization;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;

namespace KitMesh.Alerts.Rules.Media;

/// <summary>A day's clips have copies, and all of them are in one case.</summary>
/// <remarks>Common practice, no published source: never all in one case. Silent where the trip file declares a single case.</remarks>
public sealed class DayInOneCase : IAlertRule
{
    /// <inheritdoc/>
    public string Name => "day-in-one-case";

    /// <inheritdoc/>
    public AlertWeight Weight => AlertWeight.Act;

    /// <inheritdoc/>
    public string Summary => "All copies of a day's clips are in one case.";

    /// <inheritdoc/>
    public bool ClearsUnmentioned => true;

    /// <inheritdoc/>
    public IEnumerable<Finding> Judge(AlertInputs inputs, Func<KitId, bool> stands)
    {
        ArgumentNullException.ThrowIfNull(inputs);
        if (inputs.Ledger is not { } ledger || ledger.Drives.Select(drive => drive.Case).OfType<KitId>().Distinct().Count() < 2)
        {
            return [];
        }

        // One alert a case, with all the days that are only in it.
        return ledger.Days
            .Where(day => day is { LeastCopies: >= 1, LeastCases: <= 1, Cases.Count: 1 } && day.Cases[0].Case is not null)
            .GroupBy(day => day.Cases[0].Case!.Value)
            .Select(days => new Finding(
                days.Key,
                Fires: true,
                string.Create(CultureInfo.InvariantCulture, $"{days.Sum(day => day.Clips)} clips of {string.Join(", ", days.Select(day => day.Day.ToString("uuuu-MM-dd", CultureInfo.InvariantCulture)).Distinct().Take(5))} have copies in this case only."),
                "Put one of the drives into another case before anything is carried on."));
    }
}
