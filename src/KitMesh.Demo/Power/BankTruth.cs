using KitMesh.Demo.Chance;
using KitMesh.Demo.Weather;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Demo.Power;

/// <summary>One team's bank as it really is: charge, box temperature, panels and devices, moved on in steps of five minutes.</summary>
/// <remarks>
/// The controller of the demo is as blind as most: it charges whenever there is sun, whatever the cells' temperature. Only
/// the heater keeps them warm, so that a blown heater fuse at night is followed by charging under the limit at sunrise.
/// True loads, panels and boxes differ from what the trip file declares; that is what the readings must tell.
/// </remarks>
public sealed class BankTruth
{
    private static readonly Duration Step = Duration.FromMinutes(5);

    private readonly Scene _scene;
    private readonly Box? _box;
    private readonly Pack[] _packs;
    private readonly double _capacityWattHours;
    private readonly double _ohms;
    private readonly double _lossWattsPerKelvin;
    private readonly double _capacityJoulesPerKelvin;
    private Instant _at;
    private bool _heaterOn;
    private int _day = -1;

    internal BankTruth(Scene scene, Bank bank, IReadOnlyCollection<KitItem> kit, ulong seed, ulong? daySeed = null)
    {
        _scene = scene;
        Declared = bank;
        _packs = [.. kit.OfType<Pack>().Where(pack => pack.Bank == bank.Id)];
        _box = kit.OfType<Box>().FirstOrDefault(box => box.Id == bank.Box);
        Panels = [.. kit.OfType<Panel>().Where(panel => panel.Bank == bank.Id).Select(panel => new PanelTruth(panel, seed))];
        Loads = [.. kit.OfType<Load>().Where(load => load.Bank == bank.Id).Select((load, order) => new LoadTruth(load, seed, order, daySeed))];
        var chance = new SeededChance(seed, $"bank {bank.Id}");
        _capacityWattHours = _packs.Sum(pack => pack.Capacity.Value * pack.Series * CellCurve.NominalVolts(pack.Chemistry)) * chance.Between(0.93, 1.0);
        _ohms = 1 / _packs.Sum(pack => 1 / (pack.Resistance?.Value ?? 0.03));
        _lossWattsPerKelvin = (_box?.Loss.Value ?? 2) * chance.Factor(0.15);
        _capacityJoulesPerKelvin = (_box?.Capacity.Value ?? 10_000) * chance.Factor(0.1);
        _at = scene.Start;
        Charge = Math.Clamp(bank.ArrivalCharge.Value, 0.05, 1);
        CellCelsius = 12;
    }

    /// <summary>What the trip file says of it.</summary>
    public Bank Declared { get; }

    /// <summary>Its panels.</summary>
    public IReadOnlyList<PanelTruth> Panels { get; }

    /// <summary>The devices that hang on it.</summary>
    public IReadOnlyList<LoadTruth> Loads { get; }

    /// <summary>Heat that its box really loses.</summary>
    public double LossWattsPerKelvin => _lossWattsPerKelvin;

    /// <summary>Heat that its box really stores.</summary>
    public double JoulesPerKelvin => _capacityJoulesPerKelvin;

    /// <summary>State of charge, from 0 to 1.</summary>
    public double Charge { get; private set; }

    /// <summary>Temperature of the cells and of the box.</summary>
    public double CellCelsius { get; private set; }

    /// <summary>Air outside.</summary>
    public double AirCelsius { get; private set; }

    /// <summary>Terminal voltage.</summary>
    public double Volts { get; private set; }

    /// <summary>Battery current; positive charges.</summary>
    public double Amperes { get; private set; }

    /// <summary>Battery power; positive charges.</summary>
    public double Watts { get; private set; }

    /// <summary>Power of the heater now.</summary>
    public double HeaterWatts { get; private set; }

    /// <summary>Charge that the packs hold when full.</summary>
    public double CapacityAmpereHours => _packs.Sum(pack => pack.Capacity.Value);

    /// <summary>Cells in series.</summary>
    public int Series => _packs[0].Series;

    /// <summary>False from the moment the heater's fuse blows until somebody changes it.</summary>
    public bool HeaterFuseHolds { get; set; } = true;

    /// <summary>Moves on to a moment.</summary>
    /// <param name="time">The moment; an earlier one changes nothing.</param>
    public void AdvanceTo(Instant time)
    {
        while (_at + Step <= time)
        {
            _at += Step;
            StepOnce(_at, Step.TotalHours);
        }
    }

    private void StepOnce(Instant time, double hours)
    {
        Place place = _scene.PlaceOf(Declared.Team, time);
        SunPlace sun = SunTruth.At(time, place.Latitude.Value, place.Longitude.Value);
        AirCelsius = _scene.Weather.AirCelsiusAt(time, place.NightTemperature.Value, place.DayTemperature.Value, sun.SolarHour);
        LocalDateTime civil = _scene.Civil(time);
        bool newDay = civil.Date.DayOfYear != _day;
        _day = civil.Date.DayOfYear;
        double hour = civil.TimeOfDay.NanosecondOfDay / 3.6e12;
        CalendarDay? plan = _scene.DayOf(Declared.Team, civil.Date);

        HarvestOf(time, place, sun, plan, hour);
        double drawn = DrawOf(civil.Date.DayOfYear, hour, hours, plan);
        HeaterStep();
        double offer = Panels.Sum(panel => panel.OfferWatts);
        double accepted = AcceptedWatts(offer, drawn);
        foreach (PanelTruth panel in Panels)
        {
            panel.Take(offer > 0 ? accepted / offer : 0, hours, newDay);
        }

        Watts = (accepted * 0.97) - drawn - HeaterWatts;
        Charge = Math.Clamp(Charge + (Watts * hours / _capacityWattHours), 0, 1);
        Electrics();
        Thermal(hours * 3600);
    }

    private void HarvestOf(Instant time, Place place, SunPlace sun, CalendarDay? plan, double hour)
    {
        bool campDay = plan?.DayKind is null or DayKind.Camp or DayKind.Rest;
        double halfWindow = (plan?.PanelHours ?? 11) / 2;
        bool stands = campDay
            && _scene.Weather.RegimeAt(time) != SkyRegime.Storm
            && sun.HeightDegrees > 3
            && Math.Abs(hour - 12.75) <= halfWindow;
        double share = _scene.Weather.ClearSkyShareAt(time);
        foreach (PanelTruth panel in Panels)
        {
            panel.Look(place, sun, share, AirCelsius, stands);
        }
    }

    private double DrawOf(int day, double hour, double hours, CalendarDay? plan)
    {
        // On the move and on rest days little is filmed; in a storm a bit less than usual.
        double use = plan?.DayKind switch { DayKind.Travel => 0.4, DayKind.Rest => 0.6, _ => 1 };
        double sum = 0;
        foreach (LoadTruth load in Loads)
        {
            bool mayDraw = load.Declared.Class == LoadClass.LifeSafety ? Charge > 0.03 : Charge > Declared.Reserve.Value + 0.02;
            load.Step(day, hour, hours, use, mayDraw);
            sum += load.Watts / 0.9;
        }

        return sum;
    }

    private void HeaterStep()
    {
        if (_box is not { Heater.Value: > 0 } box)
        {
            return;
        }

        _heaterOn = CellCelsius < box.HeaterOn.Value || (_heaterOn && CellCelsius < box.HeaterOff.Value);
        HeaterWatts = _heaterOn && HeaterFuseHolds && Charge > 0.05 ? box.Heater.Value : 0;
    }

    private double AcceptedWatts(double offerWatts, double drawnWatts)
    {
        double taper = Charge >= 0.999 ? 0 : Charge > 0.95 ? (1 - Charge) / 0.05 : 1;
        double controller = (Declared.MaxChargeAmperes?.Value ?? 1000) * Math.Max(10, Volts);
        return Math.Min(offerWatts, Math.Min(controller, (offerWatts * taper) + drawnWatts + HeaterWatts));
    }

    private void Electrics()
    {
        double rest = CellCurve.RestVolts(_packs[0].Chemistry, Charge) * Series;
        Amperes = Watts / Math.Max(6, Volts > 1 ? Volts : rest);
        Volts = rest + (Amperes * _ohms * CellCurve.ColdFactor(CellCelsius));
    }

    private void Thermal(double seconds)
    {
        double own = Amperes * Amperes * _ohms * CellCurve.ColdFactor(CellCelsius);
        double aim = AirCelsius + ((HeaterWatts + own) / _lossWattsPerKelvin);
        CellCelsius = aim + ((CellCelsius - aim) * Math.Exp(-seconds * _lossWattsPerKelvin / _capacityJoulesPerKelvin));
    }
}
