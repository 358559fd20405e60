using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Outlook.Debrief;

/// <summary>Adds up the charge that a pack took under its limit: trapezium of the charging current between readings at most two hours apart.</summary>
/// <remarks>
/// Current and temperature may come in reports of their own: a probe's word holds for an hour. An interval with one cold and one warm end counts half. Without a
/// probe at either end the hours of charging are counted as unwatched.
/// </remarks>
internal sealed class ColdMeter(KitId pack, KitId bank, Celsius limit)
{
    private (Instant Time, double Amperes, Celsius? Cell)? _before;
    private (Instant Time, Celsius Cell)? _probe;
    private double _ampereHours;
    private double _hours;
    private double _unwatched;
    private Celsius? _coldest;

    internal ColdCharge Sum => new(pack, bank, limit, new AmpereHours(_ampereHours), _hours, _coldest, _unwatched);

    internal void See(Instant time, BatteryReading body)
    {
        _probe = body.ColdestProbe is { } told ? (time, told) : _probe is { } old && time - old.Time <= BankMeter.ProbeHolds ? old : null;
        if (body.Amperes is not { } amperes)
        {
            return;
        }

        (Instant Time, double Amperes, Celsius? Cell) now = (time, Math.Max(0, amperes.Value), _probe?.Cell);
        if (_before is { } before && time > before.Time && time - before.Time <= DayMeter.Longest)
        {
            Between(before, now, (time - before.Time).TotalHours);
        }

        _before = now;
    }

    private void Between((Instant Time, double Amperes, Celsius? Cell) a, (Instant Time, double Amperes, Celsius? Cell) b, double hours)
    {
        if (a.Amperes + b.Amperes <= 0)
        {
            return;
        }

        if (a.Cell is null && b.Cell is null)
        {
            _unwatched += hours;
            return;
        }

        double share = (Cold(a.Cell) ? 0.5 : 0) + (Cold(b.Cell) ? 0.5 : 0);
        _ampereHours += (a.Amperes + b.Amperes) / 2 * hours * share;
        _hours += hours * share;
        foreach (Celsius cell in new[] { a.Cell, b.Cell }.OfType<Celsius>().Where(cell => Cold(cell)))
        {
            _coldest = _coldest is { } known && known < cell ? known : cell;
        }
    }

    private bool Cold(Celsius? cell) => cell is { } known && known < limit;
}
