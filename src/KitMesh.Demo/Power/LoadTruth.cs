using KitMesh.Demo.Chance;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;

namespace KitMesh.Demo.Power;

/// <summary>One device: how much it really uses, and when it hangs on the bank.</summary>
public sealed class LoadTruth
{
    private const double EveningHour = 18;

    private readonly SeededChance _chance;
    private readonly double _habit;
    private readonly double _startHour;
    private int _day = -1;
    private double _todayWattHours;
    private double _owedWattHours;

    internal LoadTruth(Load load, ulong seed, int order, ulong? daySeed)
    {
        Declared = load;
        _chance = new SeededChance(seed, $"load {load.Id}");
        _habit = _chance.Factor(0.12);
        _startHour = EveningHour + (0.4 * (order % 6));
        OwnCharge = load.Battery is null ? null : _chance.Between(0.6, 1);
        if (daySeed is { } other)
        {
            // The same device on another trip: its habit stays, its days are new.
            _chance = new SeededChance(other, $"load {load.Id}");
        }
    }

    /// <summary>What the trip file says of it.</summary>
    public Load Declared { get; }

    /// <summary>Energy that it really wants on an ordinary day, at its plug.</summary>
    public double WattHoursPerDay => Declared.PerDay.Value * _habit;

    /// <summary>Charge of its own battery, from 0 to 1; null when it has none.</summary>
    public double? OwnCharge { get; private set; }

    /// <summary>Power that it takes from the bank now.</summary>
    public double Watts { get; private set; }

    /// <summary>Energy that it took since the trip began.</summary>
    public double TotalWattHours { get; private set; }

    /// <summary>What it is doing.</summary>
    public ChargeActivity Activity =>
        OwnCharge is null ? ChargeActivity.Unknown
        : Watts > 0.1 ? ChargeActivity.Charging
        : OwnCharge >= 0.99 ? ChargeActivity.Full
        : ChargeActivity.Discharging;

    internal void Step(int day, double hour, double hours, double use, bool mayDraw)
    {
        if (day != _day)
        {
            _day = day;
            _todayWattHours = Declared.PerDay.Value * _habit * use * _chance.Factor(Declared.Spread);
            _owedWattHours = Math.Min(_owedWattHours + _todayWattHours, Declared.Battery?.Value ?? _todayWattHours);
        }

        if (OwnCharge is { } charge && Declared.Battery is { } battery)
        {
            // It is used in daylight and hangs on the charger in the evening until what it used is back.
            double used = hour is >= 7 and < 18 ? _todayWattHours * hours / 11 : 0;
            bool plugged = mayDraw && hour >= _startHour && _owedWattHours > 0;
            Watts = plugged ? Math.Min(Declared.Charger?.Value ?? battery.Value / 3, _owedWattHours / hours) : 0;
            _owedWattHours -= Watts * hours;
            OwnCharge = Math.Clamp(charge + (((Watts * hours * 0.9) - (used * 0.9)) / battery.Value), 0.02, 1);
        }
        else
        {
            bool eveningOnly = Declared.Class == LoadClass.Comfort;
            bool on = !eveningOnly || hour is >= 17 and < 22;
            Watts = mayDraw && on ? _todayWattHours / (eveningOnly ? 5 : 24) : 0;
        }

        TotalWattHours += Watts * hours;
    }
}
