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
    private readonly PlanCaution? _caution;
    private readonly IReadOnlyDictionary<(KitId Place, LocalDate Day), SkyForecast> _forecast;

    internal BankCases(BankKit bank, BankBeliefs beliefs, StartState start, KitBook kit, SiteBook sites, EnergyQuestion question)
    {
        Bank = bank;
        Beliefs = beliefs;
        Start = start;
        Settings = question.Settings ?? kit.Settings;
        _caution = question.Caution;
        DaysLeft = kit.Days;
        _forecast = kit.Forecast.Concat(question.Forecast).GroupBy(f => (f.Place, f.Day)).ToDictionary(group => group.Key, group => group.Last());
        _fine = new StepBuilder(kit, sites, bank, question.Now, 96);
        _coarse = new StepBuilder(kit, sites, bank, question.Now, 24);
        Place = kit.PlaceOf(bank.Bank.Team, kit.Today) ?? SiteBook.Nowhere;
        LifeWh = bank.Loads.Where(load => load.Class == LoadClass.LifeSafety).Sum(load => beliefs.Loads[load.Id].MeanWh);
        WorkWh = bank.Loads.Where(load => load.Class != LoadClass.LifeSafety).Sum(load => beliefs.Loads[load.Id].MeanWh);
    }

    internal EnergySettings Settings { get; }

    internal BankKit Bank { get; }

    internal BankBeliefs Beliefs { get; }

    internal StartState Start { get; }

    internal Place Place { get; }

    internal double LifeWh { get; }

    internal double WorkWh { get; }

    internal int DaysLeft { get; }

    /// <summary>Kept for life-safety loads to the last day, at least the declared reserve; at most half of the bank, because on a long trip the sun must bring the rest.</summary>
    internal double LifeReserveWh =>
        Math.Max(Math.Clamp(Bank.Bank.Reserve.Value, 0, 1) * Bank.CapacityWh, Math.Min(LifeWh * DaysLeft, Bank.CapacityWh / 2));

    internal StepBuilder Steps => _fine;

    /// <summary>Steps of a quarter of an hour, for what is shown.</summary>
    internal PathCase Fine(HeaterPolicy heater) => Make(_fine, heater);

    /// <summary>Steps of an hour, for what-ifs that are compared with each other.</summary>
    internal PathCase Coarse(HeaterPolicy heater) => Make(_coarse, heater);

    private PathCase Make(StepBuilder steps, HeaterPolicy heater)
    {
        Box? box = Bank.Box;
        double capacity = Bank.CapacityWh;
        (double floor, double perKelvin) = Floor();
        (double daySd, double doubt) = LoadSpread();
        SkyCurve sky = Beliefs.Yield.Curve;
        double persistence = Beliefs.Yield.Persistence;
        double carried = Beliefs.Yield.LastZ is null ? 0 : Math.Pow(persistence, Math.Max(0, Beliefs.Yield.LastAgeDays - 1));
        return new PathCase
        {
            Steps = steps.Build(heater, _forecast, sky, ByHour(life: false), ByHour(life: true)),
            CapacityWh = capacity,
            ReserveFraction = Math.Clamp(Bank.Bank.Reserve.Value, 0, 0.95),
            FloorAtZero = floor,
            FloorPerKelvin = perKelvin,
            ChargeEfficiency = Bank.Model.ChargeEfficiency,
            DischargeEfficiency = DischargeEfficiency(),
            StartFraction = Start.Charge,
            StartFractionSd = Start.ChargeSd,
            StartCellC = Start.Coldest?.Value ?? GuessCell(box, heater),
            StartCellSd = Start.CellSd,
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
            GustLimit = Settings.GustLimit?.Value ?? double.MaxValue,
            UsualGust = Math.Max(0.1, Settings.UsualGust.Value),
            StormIndex = _caution is null || Beliefs.Yield.Days > 0 ? 0 : Math.Clamp(_caution.StormIndex, 0, 1),
            SnowLoss = Math.Clamp(Settings.SnowLoss, 0, 1),
            TaperPerHour = Taper(),
            HeatsWithPanelsOnly = heater == HeaterPolicy.ForTheSun,
            SkyPersistence = persistence,
            SkyStartZ = carried * (Beliefs.Yield.LastZ ?? 0),
            SkyStartSd = Math.Sqrt(Math.Max(Beliefs.Yield.LastDoubt * Beliefs.Yield.LastDoubt, 1 - (carried * carried))),
            SkyDoubt = Beliefs.Yield.Doubt,
            AirStartK = Beliefs.AirNowK,
            AirStartSd = Beliefs.AirNowK == 0 ? 4 : 2,
            AirShiftK = Beliefs.AirShiftK,
            AirDoubtK = Beliefs.AirDoubtK,
            LoadDaySd = daySd,
            LoadDoubt = doubt,
        };
    }

    // How fast the power falls from where the voltage limit is met to full.
    private double Taper()
    {
        double from = Bank.TaperFrom();
        return from >= 1 ? double.MaxValue : Bank.MostChargeWatts / ((1 - from) * Bank.CapacityWh);
    }

    private double[] ByHour(bool life) =>
    [
        .. Enumerable.Range(0, 24).Select(hour => Bank.Loads
            .Where(load => (load.Class == LoadClass.LifeSafety) == life)
            .Sum(load => Beliefs.Loads[load.Id].MeanWh * Beliefs.Loads[load.Id].HourShares[hour])),
    ];

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

    // Independent loads add their variances; the doubt in the mean is drawn from a lognormal of the same ratio.
    private (double DaySd, double Doubt) LoadSpread()
    {
        double mean = Math.Max(1e-6, LifeWh + WorkWh);
        double day = Math.Sqrt(Beliefs.Loads.Values.Sum(load => load.DaySd * load.DaySd)) / mean;
        double doubt = Math.Sqrt(Beliefs.Loads.Values.Sum(load => load.MeanSd * load.MeanSd)) / mean;
        return (day, Math.Sqrt(Math.Log(1 + (doubt * doubt))));
    }

    private double GuessCell(Box? box, HeaterPolicy heater)
    {
        double air = (Place.NightTemperature.Value + Place.DayTemperature.Value) / 2;
        return box is { Heater.Value: > 0 } && heater == HeaterPolicy.Always ? Math.Max(air, box.HeaterOn.Value) : air;
    }
}
