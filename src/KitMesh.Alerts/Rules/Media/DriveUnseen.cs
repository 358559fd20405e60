using System.Globalization;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Domain.Time;
using NodaTime;

namespace KitMesh.Alerts.Rules.Media;

/// <summary>No station has seen a drive with copies for a week.</summary>
/// <remarks>Seven days. Common practice, no published source.</remarks>
public sealed class DriveUnseen : IAlertRule
{
    private const double Days = 7;

    /// <inheritdoc/>
    public string Name => "drive-unseen";

    /// <inheritdoc/>
    public AlertWeight Weight => AlertWeight.Know;

    /// <inheritdoc/>
    public string Summary => "A drive with copies on it was not seen for a week.";

    /// <inheritdoc/>
    public bool ClearsUnmentioned => true;

    /// <inheritdoc/>
    public IEnumerable<Finding> Judge(AlertInputs inputs, Func<KitId, bool> stands)
    {
        ArgumentNullException.ThrowIfNull(inputs);
        return (inputs.Ledger?.Drives ?? [])
            .Where(drive => drive.Copies + drive.Overdue > 0 && drive.LastSeen is { } seen && (inputs.Now - seen).TotalDays > Days)
            .Select(drive => new Finding(
                drive.Drive,
                Fires: true,
                string.Create(CultureInfo.InvariantCulture, $"Last seen {CrewTime.ShowWithZone(drive.LastSeen!.Value, inputs.Zone)}; {drive.Copies} proven copies are said to be on it{(drive.Case is { } inside ? $", in {inside}" : "")}."),
                "Find it, plug it in and recheck a part of it, so that the ledger is not believed blindly.")
            {
                Since = drive.LastSeen + Duration.FromDays(Days),
            });
    }
}
