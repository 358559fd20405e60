using KitMesh.Alerts;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.TestKit.Alerts;

/// <summary>One rule with its book: shows it inputs and tells what became of its alert.</summary>
public sealed class AlertDesk(IAlertRule rule)
{
    private AlertBook _book = AlertBook.Empty;

    /// <summary>World time of the next inputs.</summary>
    public Instant Now { get; set; } = Instant.FromUtc(2027, 2, 11, 6, 0);

    /// <summary>What stands.</summary>
    public IReadOnlyList<Alert> Standing => _book.Standing;

    /// <summary>Shows inputs; gives the change about a subject, or null when nothing was said about it.</summary>
    public AlertChange? Show(string subject, Func<AlertInputs, AlertInputs> fill)
    {
        _book = _book.Step([rule], fill(new AlertInputs(Now)), out IReadOnlyList<AlertChange> changes);
        return changes.SingleOrDefault(c => c.Alert.Subject == KitId.Parse(subject));
    }
}
