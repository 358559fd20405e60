using NodaTime;

namespace KitMesh.Outlook.Debrief;

// Problem: energy by civil day from powers read now and then.
// Trap: bridging a long silence invents energy; a current that turns its sign between two readings is neither all charge nor all discharge.
// Method: trapezium between readings at most two hours apart, its part above zero and its part below taken apart exactly, shared out over midnight by
// time; the hours covered are counted beside it. Source: trapezoidal rule; check: TripDebriefTests against hand-worked days.

/// <summary>Adds up a power by civil day, what is positive and what is negative apart.</summary>
internal sealed class DayMeter(Offset zone)
{
    internal static readonly Duration Longest = Duration.FromHours(2);

    private readonly Dictionary<LocalDate, (double Plus, double Minus, double Hours)> _days = [];
    private (Instant Time, double Value)? _before;

    internal double Plus(LocalDate day) => _days.GetValueOrDefault(day).Plus;

    internal double Minus(LocalDate day) => _days.GetValueOrDefault(day).Minus;

    internal double Hours(LocalDate day) => _days.GetValueOrDefault(day).Hours;

    internal bool Has(LocalDate day) => _days.ContainsKey(day);

    /// <summary>Takes the next value, in order of time; null ends what came before.</summary>
    internal void See(Instant time, double? value)
    {
        if (value is { } now && _before is { } before && time > before.Time && time - before.Time <= Longest)
        {
            Share(before, (time, now));
        }

        _before = value is { } kept ? (time, kept) : null;
    }

    private void Share((Instant Time, double Value) from, (Instant Time, double Value) to)
    {
        double whole = (to.Time - from.Time).TotalHours;
        double Value(Instant at) => from.Value + ((to.Value - from.Value) * ((at - from.Time).TotalHours / whole));
        for (Instant at = from.Time; at < to.Time;)
        {
            LocalDate day = at.WithOffset(zone).Date;
            Instant midnight = day.PlusDays(1).AtMidnight().WithOffset(zone).ToInstant();
            Instant end = midnight < to.Time ? midnight : to.Time;
            double hours = (end - at).TotalHours;
            (double plus, double minus) = Parts(Value(at), Value(end), hours);
            (double p, double m, double h) = _days.GetValueOrDefault(day);
            _days[day] = (p + plus, m + minus, h + hours);
            at = end;
        }
    }

    private static (double Plus, double Minus) Parts(double a, double b, double hours)
    {
        if (a >= 0 && b >= 0)
        {
            return ((a + b) / 2 * hours, 0);
        }

        if (a <= 0 && b <= 0)
        {
            return (0, -(a + b) / 2 * hours);
        }

        // Two triangles that meet where the line crosses zero.
        double first = Math.Abs(a) / (Math.Abs(a) + Math.Abs(b)) * hours;
        double one = Math.Abs(a) / 2 * first;
        double two = Math.Abs(b) / 2 * (hours - first);
        return a > 0 ? (one, two) : (two, one);
    }
}
