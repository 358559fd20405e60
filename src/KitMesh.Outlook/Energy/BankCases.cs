using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Models.Battery;
using KitMesh.Outlook.Learning;
using NodaTime;

namespace KitMesh.Outlook.Energy;

/// <summary>Turns a bank and what is believed of it into the plain numbers of the path engine.</summary>
internal sealed class BankCases
{
    private readonly StepBuilder _fine;
    private readonly StepBuilder _coarse;
    private readonly IReadOnlyDictionary<(KitId Place, LocalDate Day), SkyForecast> _forecast;

    internal BankCases(BankKit bank, BankBeliefs beliefs, StartState start, KitBook kit, SiteBook sites, EnergyQuestion question)
    {
        Bank = bank;
        Beliefs = beliefs;
        Start = start;
        _forecast = question.Forecast.GroupBy(f => (f.Place, f.Day)).ToDictionary(group => group.Key, group => group.Last());
        _fine = new StepBuilder(kit, sites, bank, question.Now, 96);
        _coarse = new StepBuilder(kit, sites, bank, question.Now, 24);
        Place = kit.PlaceOf(bank.Bank.Team, kit.Today) ?? SiteBook.Nowhere;
        LifeWh = bank.Loads.Where(load => load.Class == LoadClass.LifeSafety).Sum(load => beliefs.Loads[load.Id].MeanWh);
        WorkWh = bank.Loads.Where(load => load.Class != LoadClass.LifeSafety).Sum(load => beliefs.Loads[load.Id].MeanWh);
    }

    internal BankKit Bank { get; }

    internal BankBeliefs Beliefs { get; }

    internal StartState Start { get; }

    internal Place Place { get; }

    internal double LifeWh { get; }

    internal double WorkWh { get; }

    internal StepBuilder Steps => _fine;

    /// <summary>Steps of a quarter of an hour, for what is shown.</summary>
    internal PathCase Fine(HeaterPolicy heater) => Make(_fine, heater);

    /// <summary>Steps of an hour, for what-ifs that are compared with each other.</summary>
    internal PathCase Coarse(HeaterPolicy heater) => Make(_coarse, heater);

    private PathCase Make(StepBuilder steps, HeaterPolicy heater)
    {
        SkyShape sky = Beliefs.Sky with { Shift = Beliefs.Sky.Shift + Beliefs.Yield.SkyShift, Width = Beliefs.Sky.Width * Beliefs.Yield.SkyWidth };
        Box? box = Bank.Box;
        double capacity = Bank.CapacityWh;
        (double floor, double perKelvin) = Floor();
        (double daySd, double doubt) = LoadSpread();
        double persistence = 0.4;
        double carried = Beliefs.Yield.LastZ is null ? 0 : Math.Pow(persistence, Math.Max(0, Beliefs.Yield.LastAgeDays - 1));
        bool knownWarmth = Start.Coldest is not null;
        return new PathCase
        {
            Steps = steps.Build(heater, _forecast, sky, WorkWh, LifeWh),
            CapacityWh = capacity,
            ReserveFraction = Math.Clamp(Bank.Bank.Reserve.Value, 0, 0.95),
            FloorAtZero = floor,
            FloorPerKelvin = perKelvin,
            ChargeEfficiency = Bank.Model.ChargeEfficiency,
            DischargeEfficiency = DischargeEfficiency(),
            StartFraction = Start.Charge,
            StartFractionSd = Start.ChargeSd,
            StartCellC = Start.Coldest?.Value ?? GuessCell(box, heater),
            StartCellSd = knownWarmth ? 0.5 : 6,
            BoxJoulesPerKelvin = Beliefs.Box.Model.Capacity.Value,
            BoxWattsPerKelvin = Beliefs.Box.Model.Loss.Value,
            BoxLossSd = Math.Min(0.8, Beliefs.Box.LossSigma),
            HeaterWatts = box?.Heater.Value ?? 0,
            HeaterOnC = box?.HeaterOn.Value ?? -100,
            HeaterOffC = Math.Max((box?.HeaterOn.Value ?? -100) + 0.5, box?.HeaterOff.Value ?? -99),
            ZoneFromC = [.. Bank.Limits.Zones.Take(PathCase.MaxZones).Select(zone => zone.From.Value)],
            ZoneWatts = [.. Bank.Limits.Zones.Take(PathCase.MaxZones).Select(zone => zone.MaxRate * capacity)],
            ZoneEndC = Bank.Limits.Upper.Value,
            ControllerWatts = Bank.Bank.MaxChargeAmperes is { } amperes ? amperes.Value * Bank.Model.OpenCircuit(new(0.5)).Value : 1e9,
            PanelWatts = Bank.PanelWatts,
            PanelPerKelvin = Bank.Panels.Count > 0 ? Bank.Panels.Average(panel => panel.TemperatureCoefficient) : -0.004,
            PanelDoubt = Beliefs.Yield.PanelDoubt,
            PanelScale = Beliefs.Yield.PanelFactor,
            Sky = sky,
            SkyPersistence = persistence,
            SkyStartZ = carried * (Beliefs.Yield.LastZ ?? 0),
            SkyStartSd = Math.Sqrt(Math.Max(0.02, 1 - (carried * carried))),
            SkyDoubt = Beliefs.Yield.SkyDoubt,
            AirStartK = Beliefs.AirNowK,
            AirStartSd = Beliefs.AirNowK == 0 ? 4 : 2,
            AirShiftK = Beliefs.AirShiftK,
            AirDoubtK = Beliefs.AirDoubtK,
            LoadDaySd = daySd,
            LoadDoubt = doubt,
        };
    }

    // Fraction that stays behind at the mean evening load: at 0 °C, and what each kelvin of cold adds down to -20 °C.
    private (double AtZero, double PerKelvin) Floor()
    {
        var power = new Watts(Math.Max(1, (LifeWh + WorkWh) * 0.16));
        double zero = Bank.Model.Usable(new StateOfCharge(1), power, new Celsius(0)).LeftAt.Value;
        double cold = Bank.Model.Usable(new StateOfCharge(1), power, new Celsius(-20)).LeftAt.Value;
        return (zero, Math.Max(0, (cold - zero) / 20));
    }

    private double DischargeEfficiency()
    {
        double volts = Bank.Model.OpenCircuit(new(0.5)).Value;
        double power = Math.Max(1, (LifeWh + WorkWh) * 0.16);
        double loss = power * Bank.Model.Resistance(new Celsius(5)).Value / (volts * volts);
        return Math.Clamp(1 - loss, 0.85, 0.995);
    }

    // Independent loads add their variances; a lognormal takes the sum's ratio.
    private (double DaySd, double Doubt) LoadSpread()
    {
        double mean = Math.Max(1e-6, LifeWh + WorkWh);
        double day = Math.Sqrt(Beliefs.Loads.Values.Sum(load => load.DaySd * load.DaySd)) / mean;
        double doubt = Math.Sqrt(Beliefs.Loads.Values.Sum(load => load.MeanSd * load.MeanSd)) / mean;
        return (Math.Sqrt(Math.Log(1 + (day * day))), Math.Sqrt(Math.Log(1 + (doubt * doubt))));
    }

    private double GuessCell(Box? box, HeaterPolicy heater)
    {
        double air = (Place.NightTemperature.Value + Place.DayTemperature.Value) / 2;
        return box is { Heater.Value: > 0 } && heater == HeaterPolicy.Always ? Math.Max(air, box.HeaterOn.Value) : air;
    }
}
