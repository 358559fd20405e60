using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace KitMesh.Outlook.Energy;

/// <summary>Eight paths of one bank side by side. See PathEngine.cs for the method.</summary>
internal struct PathLanes
{
    private PathRandom _random;

    // Drawn once a path: what is not known and does not change.
    private Vector512<double> _panelFactor;
    private Vector512<double> _loadFactor;
    private Vector512<double> _skyShift;
    private Vector512<double> _airShift;
    private Vector512<double> _decay;
    private Vector512<double> _kelvinPerWatt;
    private Vector512<double> _wattsPerStepKelvin;

    // Drawn once a day.
    private Vector512<double> _z;
    private Vector512<double> _airAnomaly;
    private Vector512<double> _morning;
    private Vector512<double> _afternoon;
    private Vector512<double> _air;
    private Vector512<double> _clearness;
    private Vector512<double> _loadToday;
    private Vector512<double> _out;
    private Vector512<double> _panelToday;
    private Vector512<double> _heatToday;

    // State.
    private Vector512<double> _energy;
    private Vector512<double> _cell;
    private Vector512<double> _heaterOn;

    // Sums of the day.
    private Vector512<double> _lowest;
    private Vector512<double> _panel;
    private Vector512<double> _charged;
    private Vector512<double> _drawn;
    private Vector512<double> _load;
    private Vector512<double> _heater;
    private Vector512<double> _harvest;
    private Vector512<double> _zoneExcess;
    private Vector512<double> _shortSince;

    private readonly Vector512<double> _startEnergy;

    internal PathLanes(PathCase bank, ulong seed, int firstPath)
    {
        _random = new PathRandom(seed, firstPath);
        (Vector512<double> start, Vector512<double> cell) = _random.NextNormals();
        (Vector512<double> panel, Vector512<double> load) = _random.NextNormals();
        (Vector512<double> sky, Vector512<double> air) = _random.NextNormals();
        (Vector512<double> loss, Vector512<double> z) = _random.NextNormals();
        (Vector512<double> anomaly, _) = _random.NextNormals();

        Vector512<double> zero = Vector512<double>.Zero;
        Vector512<double> one = Vector512<double>.One;
        Vector512<double> fraction = Vector512.Min(one, Vector512.Max(zero, Vector512.Create(bank.StartFraction) + (start * bank.StartFractionSd)));
        _energy = fraction * bank.CapacityWh;
        _startEnergy = _energy;
        _cell = Vector512.Create(bank.StartCellC) + (cell * bank.StartCellSd);
        _panelFactor = Lognormal(panel, bank.PanelDoubt) * bank.PanelScale;
        _loadFactor = Lognormal(load, bank.LoadDoubt) * bank.LoadScale;
        _skyShift = Vector512.Create(bank.SkyShiftZ) + (sky * bank.SkyDoubt);
        _airShift = Vector512.Create(bank.AirShiftK) + (air * bank.AirDoubtK);
        Vector512<double> wattsPerKelvin = Lognormal(loss, bank.BoxLossSd) * bank.BoxWattsPerKelvin;
        _decay = LaneMath.Exp(wattsPerKelvin * (-3600 * bank.Steps.StepHours / bank.BoxJoulesPerKelvin));
        _kelvinPerWatt = (one - _decay) / wattsPerKelvin;
        _wattsPerStepKelvin = one / _kelvinPerWatt;
        _zoneExcess = Vector512.Create(double.MinValue);
        _z = Vector512.Create(bank.SkyStartZ) + (z * bank.SkyStartSd);
        _airAnomaly = Vector512.Create(bank.AirStartK) + (anomaly * bank.AirStartSd);
        _shortSince = Vector512.Create(double.MaxValue);
    }

    internal void StartDay(PathCase bank, int day)
    {
        StepTable steps = bank.Steps;
        (Vector512<double> weather, Vector512<double> air) = _random.NextNormals();
        (Vector512<double> load, Vector512<double> half) = _random.NextNormals();
        (Vector512<double> gust, Vector512<double> snow) = _random.NextNormals();
        _z = (_z * bank.SkyPersistence) + (weather * Math.Sqrt(1 - (bank.SkyPersistence * bank.SkyPersistence)));
        _airAnomaly = (_airAnomaly * bank.AirPersistence) + (air * (bank.AirDaySd * Math.Sqrt(1 - (bank.AirPersistence * bank.AirPersistence))));

        double trust = steps.ForecastTrust[day];
        double rest = Math.Sqrt(1 - (trust * trust));
        _z = (_z * rest) + Vector512.Create(trust * steps.ForecastZ[day]);
        _airAnomaly = (_airAnomaly * rest) + Vector512.Create(trust * steps.ForecastAirK[day]);

        Vector512<double> k = bank.Sky.At(_skyShift + _z);
        Vector512<double> shift = half * bank.SkyHalfDaySd;
        Vector512<double> low = Vector512.Create(SkyCurve.Least);
        Vector512<double> high = Vector512.Create(SkyCurve.Greatest);
        _morning = Vector512.Min(high, Vector512.Max(low, k - shift));
        _afternoon = Vector512.Min(high, Vector512.Max(low, k + shift));
        _clearness = Vector512.Create(0.5) + (k * 0.5);
        _air = _airShift + _airAnomaly;
        _loadToday = _loadFactor * Vector512.Max(Vector512.Create(PathCase.LeastLoadDay), Vector512<double>.One + (load * bank.LoadDaySd));
        _lowest = _energy;
        _panel = _charged = _drawn = _load = _heater = _harvest = Vector512<double>.Zero;
        SetOut(bank, k, gust, snow);
    }

    // Whether the panels go out today: not above their gust limit, nor while the bank is full enough. Snow on a dull day takes a part of them.
    private void SetOut(PathCase bank, Vector512<double> k, Vector512<double> gust, Vector512<double> snow)
    {
        Vector512<double> one = Vector512<double>.One;
        Vector512<double> wind = (_z * PathCase.GustWithSky) + (gust * Math.Sqrt(1 - (PathCase.GustWithSky * PathCase.GustWithSky)));
        Vector512<double> speed = LaneMath.Exp(wind * bank.GustSigma) * bank.UsualGust;
        Vector512<double> stands = Vector512.LessThanOrEqual(speed, Vector512.Create(bank.GustLimit))
            & Vector512.LessThan(_energy, Vector512.Create(bank.PanelsBelow * bank.CapacityWh))
            & Vector512.GreaterThanOrEqual(k, Vector512.Create(bank.StormIndex));
        _out = Vector512.ConditionalSelect(stands, one, Vector512<double>.Zero);
        Vector512<double> dull = Vector512.LessThan(k, Vector512.Create(PathCase.DullIndex));
        Vector512<double> clean = one - (Vector512.Min(one, Vector512.Abs(snow)) * bank.SnowLoss);
        _panelToday = _panelFactor * _out * Vector512.ConditionalSelect(dull, clean, one);
        _heatToday = bank.HeatsWithPanelsOnly ? _out : one;
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    internal void Step(PathCase bank, int step)
    {
        StepTable steps = bank.Steps;
        Vector512<double> air = Vector512.Create(steps.AirMeanC[step]) + _air + (_clearness * steps.AirSwingK[step]);
        Vector512<double> load = _loadToday * steps.LoadWatts[step];
        Vector512<double> free = air + ((_cell - air) * _decay);
        Vector512<double> panel = steps.PanelLinear[step] != 0 ? Panel(bank, step, air) : Vector512<double>.Zero;
        Vector512<double> heater = Heat(bank, free, bank.HeaterWatts * steps.HeaterAllowed[step], panel - load);
        Vector512<double> need = load + heater;
        Vector512<double> charge = Vector512<double>.Zero;
        Vector512<double> missing = need;
        if (steps.PanelLinear[step] != 0)
        {
            Vector512<double> net = panel - need;
            charge = Charge(bank, net, steps.StepHours);
            missing = Vector512.Max(Vector512<double>.Zero, Vector512<double>.Zero - net);
            _panel += panel;
            _harvest += Vector512.Min(panel, need) + charge;
            _charged += charge;
        }

        Draw(bank, step, load, heater, charge, missing, free);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private readonly Vector512<double> Panel(PathCase bank, int step, Vector512<double> air)
    {
        StepTable steps = bank.Steps;
        Vector512<double> k = steps.Afternoon[step] < 0 ? _morning : _afternoon;
        Vector512<double> rated = k * (Vector512.Create(steps.PanelLinear[step]) + (k * steps.PanelSquare[step]));
        Vector512<double> cell = air + (rated * bank.CellRisePerWatt) - Vector512.Create(25.0);
        Vector512<double> warm = Vector512<double>.One + (cell * bank.PanelPerKelvin);
        return Vector512.Max(Vector512<double>.Zero, rated * warm * _panelToday);
    }

    // A thermostat: on below its lower temperature, off above the upper one, with the power that reaches the upper one within the step. An empty bank
    // gives its heater nothing; then it has what the panels leave over from the loads, and the first sun warms the cells until they may charge.
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private Vector512<double> Heat(PathCase bank, Vector512<double> free, double allowedWatts, Vector512<double> spare)
    {
        Vector512<double> zero = Vector512<double>.Zero;
        Vector512<double> offAt = Vector512.Create(bank.HeaterOffC);
        _heaterOn = Vector512.ConditionalSelect(
            Vector512.LessThan(free, Vector512.Create(bank.HeaterOnC)),
            Vector512<double>.One,
            Vector512.ConditionalSelect(Vector512.GreaterThanOrEqual(_cell, Vector512.Create(bank.HeaterOffC - 0.05)), zero, _heaterOn));
        if (allowedWatts == 0)
        {
            return zero;
        }

        Vector512<double> wanted = Vector512.Max(zero, (offAt - free) * _wattsPerStepKelvin);
        Vector512<double> most = Vector512.Create(allowedWatts);
        Vector512<double> within = Vector512.ConditionalSelect(
            Vector512.GreaterThan(_energy, Vector512.Create(bank.DeadFraction * bank.CapacityWh)), most, Vector512.Min(most, Vector512.Max(zero, spare)));
        return _heaterOn * _heatToday * Vector512.Min(wanted, within);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private Vector512<double> Charge(PathCase bank, Vector512<double> net, double hours)
    {
        Vector512<double> zero = Vector512<double>.Zero;
        Vector512<double> zone = Zone(bank, _cell);
        Vector512<double> room = (Vector512.Create(bank.CapacityWh) - _energy) * Math.Min(bank.TaperPerHour, 1 / (bank.ChargeEfficiency * hours));
        Vector512<double> limit = Vector512.Min(Vector512.Min(zone, Vector512.Create(bank.ControllerWatts)), Vector512.Max(zero, room));
        Vector512<double> charge = Vector512.Min(Vector512.Max(zero, net), limit);
        _zoneExcess = Vector512.Max(_zoneExcess, charge - zone);
        return charge;
    }

    // What cannot be served stops the heater first, then the loads; what the cells lose as heat warms them.
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private void Draw(
        PathCase bank, int step, Vector512<double> load, Vector512<double> heater, Vector512<double> charge, Vector512<double> missing, Vector512<double> free)
    {
        double hours = bank.Steps.StepHours;
        Vector512<double> zero = Vector512<double>.Zero;
        Vector512<double> floor = Vector512.Max(zero, Vector512.Create(bank.FloorAtZero) - (_cell * bank.FloorPerKelvin)) * bank.CapacityWh;
        Vector512<double> available = Vector512.Max(zero, _energy - floor) * (bank.DischargeEfficiency / hours);
        Vector512<double> draw = Vector512.Min(missing, available);
        Vector512<double> unserved = missing - draw;
        Vector512<double> heaterCut = Vector512.Min(heater, unserved);
        Vector512<double> heaterServed = heater - heaterCut;
        Vector512<double> loadCut = unserved - heaterCut;

        Vector512<double> outOf = draw * (hours / bank.DischargeEfficiency);
        _energy = _energy + (charge * (bank.ChargeEfficiency * hours)) - outOf;
        Vector512<double> warmth = heaterServed + (charge * (1 - bank.ChargeEfficiency)) + (draw * ((1 / bank.DischargeEfficiency) - 1));
        _cell = free + (warmth * _kelvinPerWatt);

        _lowest = Vector512.Min(_lowest, _energy);
        _drawn += outOf;
        _load += load - loadCut;
        _heater += heaterServed;
        Vector512<double> isShort = Vector512.LessThan(_energy, Vector512.Create(bank.ReserveFraction * bank.CapacityWh))
            | Vector512.GreaterThan(loadCut, Vector512.Create(1e-6));
        _shortSince = Vector512.ConditionalSelect(isShort, Vector512.Min(_shortSince, Vector512.Create((double)step)), _shortSince);
    }

    internal readonly void Count(PathCase bank, PathDays days, int day, int path, int stepsDone)
    {
        double perCapacity = 1 / bank.CapacityWh;
        double hours = bank.Steps.StepHours;
        double reserve = bank.ReserveFraction * bank.CapacityWh;
        int dayStart = day == 0 ? 0 : bank.Steps.DayEnd[day - 1];
        for (int lane = 0; lane < PathEngine.Lanes; lane++)
        {
            double harvest = _harvest.GetElement(lane) * hours;
            double heater = _heater.GetElement(lane) * hours;
            days.Lowest[day].Add(_lowest.GetElement(lane) * perCapacity);
            days.AtEnd[day].Add(_energy.GetElement(lane) * perCapacity);
            days.Harvest[day].Add(harvest);
            days.Wasted[day].Add((_panel.GetElement(lane) * hours) - harvest);
            days.Loads[day].Add(_load.GetElement(lane) * hours);
            days.Heater[day].Add(heater);
            days.Net[day].Add(harvest - heater);
            days.PanelsOut[day] += bank.Steps.HasPanels[day] ? _out.GetElement(lane) : 0;
            double since = _shortSince.GetElement(lane);
            bool startedToday = since >= dayStart && since < stepsDone;
            days.FirstShort[day] += startedToday ? 1 : 0;
            days.Short[day] += startedToday || _lowest.GetElement(lane) < reserve ? 1 : 0;
            if (startedToday)
            {
                days.FirstShortStep[path + lane] = (int)since;
            }

            if (days.Trace is { } trace)
            {
                Keep(bank, trace, (day * days.Paths) + path + lane, path + lane, lane);
            }
        }
    }

    private readonly void Keep(PathCase bank, PathTrace trace, int at, int path, int lane)
    {
        double hours = bank.Steps.StepHours;
        trace.EndFraction[at] = _energy.GetElement(lane) / bank.CapacityWh;
        trace.LowestFraction[at] = _lowest.GetElement(lane) / bank.CapacityWh;
        trace.HarvestWh[at] = _harvest.GetElement(lane) * hours;
        trace.WastedWh[at] = (_panel.GetElement(lane) - _harvest.GetElement(lane)) * hours;
        trace.PanelWh[at] = _panel.GetElement(lane) * hours;
        trace.LoadWh[at] = _load.GetElement(lane) * hours;
        trace.HeaterWh[at] = _heater.GetElement(lane) * hours;
        trace.ChargedWh[at] = _charged.GetElement(lane) * hours;
        trace.DrawnWh[at] = _drawn.GetElement(lane);
        trace.StartFraction[path] = _startEnergy.GetElement(lane) / bank.CapacityWh;
        trace.WorstZoneExcessWatts[path] = _zoneExcess.GetElement(lane);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector512<double> Zone(PathCase bank, Vector512<double> cell)
    {
        Vector512<double> watts = Vector512<double>.Zero;
        double[] from = bank.ZoneFromC;
        double[] allowed = bank.ZoneWatts;
        for (int i = 0; i < from.Length; i++)
        {
            watts = Vector512.ConditionalSelect(Vector512.GreaterThanOrEqual(cell, Vector512.Create(from[i])), Vector512.Create(allowed[i]), watts);
        }

        return Vector512.ConditionalSelect(Vector512.GreaterThan(cell, Vector512.Create(bank.ZoneEndC)), Vector512<double>.Zero, watts);
    }

    private static Vector512<double> Lognormal(Vector512<double> normal, double sigma) =>
        LaneMath.Exp((normal * sigma) - Vector512.Create(sigma * sigma / 2));
}
