using System.Globalization;
using KitMesh.Alerts.Inputs;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;

namespace KitMesh.Alerts.Rules.Media;

/// <summary>A drive has little room left: under a tenth, or less than two days' footage where the daily amount is known.</summary>
/// <remarks>Fires under 10 % (or 2 days), clears above 12 % (and 2.5 days). Common practice, no published source.</remarks>
public sealed class DriveNearlyFull : IAlertRule
{
    private const double FireUnder = 0.10;
    private const double ClearAbove = 0.12;
    private const double FireUnderDays = 2;
    private const double ClearAboveDays = 2.5;

    /// <inheritdoc/>
    public string Name => "drive-nearly-full";

    /// <inheritdoc/>
    public AlertWeight Weight => AlertWeight.Act;

    /// <inheritdoc/>
    public string Summary => "A drive has under a tenth free, or less than two days' footage.";

    /// <inheritdoc/>
    public bool ClearsUnmentioned => false;

    /// <inheritdoc/>
    public IEnumerable<Finding> Judge(AlertInputs inputs, Func<KitId, bool> stands)
    {
        ArgumentNullException.ThrowIfNull(inputs);
        ArgumentNullException.ThrowIfNull(stands);
        foreach (DriveCondition drive in inputs.Drives)
        {
            double capacity = drive.Capacity.Value;
            if (capacity <= 0)
            {
                continue;
            }

            bool standing = stands(drive.Drive);
            double share = drive.Free.Value / capacity;
            double? days = drive.PerDay is { Value: > 0 } perDay ? drive.Free.Value / (double)perDay.Value : null;
            bool full = share < (standing ? ClearAbove : FireUnder) || days < (standing ? ClearAboveDays : FireUnderDays);
            string seen = string.Create(CultureInfo.InvariantCulture, $"{drive.Free} of {drive.Capacity} are free ({share * 100:0.#} %)")
                + (days is { } d ? string.Create(CultureInfo.InvariantCulture, $", room for {d:0.#} days.") : ".");
            yield return full
                ? new Finding(drive.Drive, Fires: true, seen, "Plan tonight's copies onto other drives. Do not delete anything here before the ledger says that enough copies exist elsewhere.")
                : Finding.Clear(drive.Drive, seen);
        }
    }
}
