using KitMesh.Domain;
using KitMesh.Domain.Results;
using KitMesh.Footage.Ledger;
using KitMesh.Outlook.Footage;
using NodaTime;

namespace KitMesh.Hub.Views;

// Problem: alerts are judged at every change, and some look at the footage outlook, which can take long.
// Method: one answer stands until a clip comes or a drive changes, or an hour of world time has passed, and at least ten times
// as long as it took to compute: then it costs a tenth of one core at worst, also when the world's clock runs fast.

/// <summary>The footage outlook for the alert rules: good enough for conditions that come in days. One caller at a time.</summary>
internal sealed class RunwayView(TimeProvider machine)
{
    private const int Rest = 10;
    private static readonly Duration GoodFor = Duration.FromHours(1);

    private FootageOutlook? _answer;
    private Instant _answeredFor;
    private (int Clips, ValueList<DriveRow> Drives) _answeredFrom;
    private long _answeredAt;
    private TimeSpan _took;

    /// <summary>The outlook, new or kept; null without a trip.</summary>
    /// <param name="now">World time.</param>
    /// <param name="hasTrip">Whether one trip is declared.</param>
    /// <param name="ledger">The ledger.</param>
    /// <param name="view">The same, as seen without its clips.</param>
    public FootageOutlook? At(Instant now, bool hasTrip, LedgerSnapshot ledger, LedgerView view)
    {
        if (!hasTrip)
        {
            return _answer = null;
        }

        (int Clips, ValueList<DriveRow> Drives) from = (view.ClipsTotal, view.Drives);
        bool isDue = from != _answeredFrom || now - _answeredFor >= GoodFor || now < _answeredFor;
        if (_answer is null || (isDue && machine.GetElapsedTime(_answeredAt) >= _took * Rest))
        {
            long began = machine.GetTimestamp();
            _answer = FootageOutlooks.Answer(new FootageOutlookQuestion(ledger.Holdings()));
            _took = machine.GetElapsedTime(began);
            _answeredFor = now;
            _answeredFrom = from;
            _answeredAt = machine.GetTimestamp();
        }

        return _answer;
    }
}
