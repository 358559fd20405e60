using KitMesh.Domain.Results;
using KitMesh.Footage.Ledger;
using KitMesh.Outlook.Footage;
using NodaTime;

namespace KitMesh.Hub.Views;

// Problem: alerts are judged at every change, and some look at the footage outlook, which can take long.
// Method: one answer stands for an hour of world time, and at least ten times as long as it took to compute: then it costs a
// tenth of one core at worst, also when the world's clock runs fast.

/// <summary>The footage outlook for the alert rules: good enough for conditions that come in days. One caller at a time.</summary>
internal sealed class RunwayView(TimeProvider machine)
{
    private const int Rest = 10;
    private static readonly Duration GoodFor = Duration.FromHours(1);

    private FootageOutlook? _answer;
    private Instant _answeredFor;
    private long _answeredAt;
    private TimeSpan _took;

    /// <summary>The outlook, new or kept; null without a trip.</summary>
    /// <param name="now">World time.</param>
    /// <param name="hasTrip">Whether one trip is declared.</param>
    /// <param name="ledger">The ledger.</param>
    public FootageOutlook? At(Instant now, bool hasTrip, LedgerSnapshot ledger)
    {
        if (!hasTrip)
        {
            return _answer = null;
        }

        bool isDue = now - _answeredFor >= GoodFor || now < _answeredFor;
        if (_answer is null || (isDue && machine.GetElapsedTime(_answeredAt) >= _took * Rest))
        {
            long began = machine.GetTimestamp();
            _answer = FootageOutlooks.Answer(new FootageOutlookQuestion(ledger.Holdings()));
            _took = machine.GetElapsedTime(began);
            _answeredFor = now;
            _answeredAt = machine.GetTimestamp();
        }

        return _answer;
    }
}
