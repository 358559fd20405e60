using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;

namespace KitMesh.Alerts.Rules.Media;

/// <summary>A drive is hotter than it should work.</summary>
/// <remarks>Fires from 60 °C, clears under 55 °C. Common practice, no published source; the maker's sheet decides.</remarks>
public sealed class DriveHot : IAlertRule
{
    private const double FireFrom = 60;
    private const double ClearUnder = 55;

    /// <inheritdoc/>
    public string Name => "drive-hot";

    /// <inheritdoc/>
    public AlertWeight Weight => AlertWeight.Act;

    /// <inheritdoc/>
    public string Summary => "A drive is at 60 °C or more.";

    /// <inheritdoc/>
    public bool ClearsUnmentioned => true;

    /// <inheritdoc/>
    public IEnumerable<Finding> Judge(AlertInputs inputs, Func<KitId, bool> stands)
    {
        ArgumentNullException.ThrowIfNull(inputs);
        ArgumentNullException.ThrowIfNull(stands);
        return (inputs.Ledger?.Drives ?? [])
            .Where(drive => drive.Temperature is { IsPhysical: true } now && now.Value >= (stands(drive.Drive) ? ClearUnder : FireFrom))
            .Select(drive => new Finding(
                drive.Drive,
                Fires: true,
                $"It is at {drive.Temperature}.",
                "Let it rest in the open and give it air before the next copy. Heat shortens its life; the maker's sheet has its limit."));
    }
}
