using System.Globalization;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;

namespace KitMesh.Alerts.Rules.Media;

/// <summary>A drive says that it is failing, or that an attribute of it warns.</summary>
/// <remarks>A drive that says nothing is not healthy; it is unknown, and no alert.</remarks>
public sealed class DriveFailing : IAlertRule
{
    /// <inheritdoc/>
    public string Name => "drive-failing";

    /// <inheritdoc/>
    public AlertWeight Weight => AlertWeight.Act;

    /// <inheritdoc/>
    public string Summary => "A drive warns of itself.";

    /// <inheritdoc/>
    public bool ClearsUnmentioned => true;

    /// <inheritdoc/>
    public IEnumerable<Finding> Judge(AlertInputs inputs, Func<KitId, bool> stands)
    {
        ArgumentNullException.ThrowIfNull(inputs);
        return (inputs.Ledger?.Drives ?? [])
            .Where(drive => drive.Health is DriveHealth.Warning or DriveHealth.Failing)
            .Select(drive => new Finding(
                drive.Drive,
                Fires: true,
                string.Create(CultureInfo.InvariantCulture, $"It says {(drive.Health == DriveHealth.Failing ? "that it is failing" : "that an attribute warns")}; {drive.Copies} proven copies ({drive.Size}) are on it."),
                "Copy what it holds to another drive first, then stop writing to it."));
    }
}
