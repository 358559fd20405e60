using System.Globalization;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Domain.Time;

namespace KitMesh.Alerts.Rules.Media;

/// <summary>Copies on a drive were not proven for longer than their rule allows.</summary>
public sealed class RecheckOverdue : IAlertRule
{
    /// <inheritdoc/>
    public string Name => "recheck-overdue";

    /// <inheritdoc/>
    public AlertWeight Weight => AlertWeight.Know;

    /// <inheritdoc/>
    public string Summary => "A drive holds copies whose last proof is older than the copy rule allows.";

    /// <inheritdoc/>
    public bool ClearsUnmentioned => true;

    /// <inheritdoc/>
    public IEnumerable<Finding> Judge(AlertInputs inputs, Func<KitId, bool> stands)
    {
        ArgumentNullException.ThrowIfNull(inputs);
        return (inputs.Ledger?.Drives ?? [])
            .Where(drive => drive.Overdue > 0)
            .Select(drive => new Finding(
                drive.Drive,
                Fires: true,
                string.Create(CultureInfo.InvariantCulture, $"{drive.Overdue} {(drive.Overdue == 1 ? "copy" : "copies")} on it {(drive.Overdue == 1 ? "is" : "are")} overdue{(drive.OldestProof is { } oldest ? $"; the oldest was proven {CrewTime.ShowWithZone(oldest, inputs.Zone)}" : "")}."),
                "Recheck the drive when there is energy for it. Until then these copies release no card."));
    }
}
