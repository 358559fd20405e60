using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;

namespace KitMesh.Alerts.Rules.Media;

/// <summary>It cannot be told which drive a label stands for.</summary>
public sealed class DriveInDoubt : IAlertRule
{
    /// <inheritdoc/>
    public string Name => "drive-in-doubt";

    /// <inheritdoc/>
    public AlertWeight Weight => AlertWeight.Act;

    /// <inheritdoc/>
    public string Summary => "A drive's label stands for two drives, or two labels for one.";

    /// <inheritdoc/>
    public bool ClearsUnmentioned => true;

    /// <inheritdoc/>
    public IEnumerable<Finding> Judge(AlertInputs inputs, Func<KitId, bool> stands)
    {
        ArgumentNullException.ThrowIfNull(inputs);
        return (inputs.Ledger?.Drives ?? [])
            .Where(drive => drive is { Declared: true, Doubt: not null })
            .Select(drive => new Finding(
                drive.Drive,
                Fires: true,
                $"{drive.Doubt}.",
                "Its copies count for nothing until this is settled. Format no card that relies on it."));
    }
}
