namespace KitMesh.Outlook.Energy;

// Problem: the lanes of PathEngine need something plain to be checked against.
// Method: the same recurrence written as anybody would write it, one path and one step at a time, with the operations in the same order.
// Tests ask for the same bits; the benchmark asks how much the lanes bring.

/// <summary>The path engine as a plain loop.</summary>
internal static class PathLoop
{
    /// <summary>Day-end state of charge of every path; index is day × paths + path.</summary>
    internal static double[] Run(PathCase bank, ulong seed, int paths)
    {
        var ends = new double[bank.Steps.Days * paths];
        for (int path = 0; path < paths; path++)
        {
            RollOne(bank, seed, path, paths, ends);
        }

        return ends;
    }

    private static void RollOne(PathCase bank, ulong seed, int path, int paths, double[] ends)
    {
        StepTable steps = bank.Steps;
        LoopPath p = Start(bank, seed, path);
        int step = 0;
        for (int day = 0; day < steps.Days; day++)
        {
            StartDay(bank, ref p, day);
            for (int end = steps.DayEnd[day]; step < end; step++)
            {
                Step(bank, ref p, step);
            }

            ends[(day * paths) + path] = p.Energy / bank.CapacityWh;
        }
    }

    private static LoopPath Start(PathCase bank, ulong seed, int path)
    {
        LoopPath p = default;
        p.Random = new LoopRandom(seed, path);
        (double start, double cell) = p.Random.NextNormals();
        (double panel, double load) = p.Random.NextNormals();
        (double sky, double air) = p.Random.NextNormals();
        (double loss, double z) = p.Random.NextNormals();
        (double anomaly, _) = p.Random.NextNormals();
        p.Energy = Math.Min(1, Math.Max(0, bank.StartFraction + (start * bank.StartFractionSd))) * bank.CapacityWh;
        p.Cell = bank.StartCellC + (cell * bank.StartCellSd);
        p.PanelFactor = Lognormal(panel, bank.PanelDoubt) * bank.PanelScale;
        p.LoadFactor = Lognormal(load, bank.LoadDoubt) * bank.LoadScale;
        p.SkyShift = bank.SkyShiftZ + (sky * bank.SkyDoubt);
        p.AirShift = bank.AirShiftK + (air * bank.AirDoubtK);
        double wattsPerKelvin = Lognormal(loss, bank.BoxLossSd) * bank.BoxWattsPerKelvin;
        p.Decay = LoopMath.Exp(wattsPerKelvin * (-3600 * bank.Steps.StepHours / bank.BoxJoulesPerKelvin));
        p.KelvinPerWatt = (1 - p.Decay) / wattsPerKelvin;
        p.WattsPerStepKelvin = 1 / p.KelvinPerWatt;
        p.Z = bank.SkyStartZ + (z * bank.SkyStartSd);
        p.AirAnomaly = bank.AirStartK + (anomaly * bank.AirStartSd);
        return p;
    }

    private static void StartDay(PathCase bank, ref LoopPath p, int day)
    {
        StepTable steps = bank.Steps;
        (double weather, double air) = p.Random.NextNormals();
        (double load, double half) = p.Random.NextNormals();
        (double gust, double snow) = p.Random.NextNormals();
        p.Z = (p.Z * bank.SkyPersistence) + (weather * Math.Sqrt(1 - (bank.SkyPersistence * bank.SkyPersistence)));
        p.AirAnomaly = (p.AirAnomaly * bank.AirPersistence) + (air * (bank.AirDaySd * Math.Sqrt(1 - (bank.AirPersistence * bank.AirPersistence))));
        double trust = steps.ForecastTrust[day];
        double rest = Math.Sqrt(1 - (trust * trust));
        p.Z = (p.Z * rest) + (trust * steps.ForecastZ[day]);
        p.AirAnomaly = (p.AirAnomaly * rest) + (trust * steps.ForecastAirK[day]);
        double k = bank.Sky.At(p.SkyShift + p.Z);
        double shift = half * bank.SkyHalfDaySd;
        p.Morning = Math.Min(SkyCurve.Greatest, Math.Max(SkyCurve.Least, k - shift));
        p.Afternoon = Math.Min(SkyCurve.Greatest, Math.Max(SkyCurve.Least, k + shift));
        p.Clearness = 0.5 + (k * 0.5);
        p.Air = p.AirShift + p.AirAnomaly;
        p.LoadToday = p.LoadFactor * Math.Max(PathCase.LeastLoadDay, 1 + (load * bank.LoadDaySd));
        double wind = (p.Z * PathCase.GustWithSky) + (gust * Math.Sqrt(1 - (PathCase.GustWithSky * PathCase.GustWithSky)));
        double speed = LoopMath.Exp(wind * bank.GustSigma) * bank.UsualGust;
        double stands = speed <= bank.GustLimit && k >= bank.StormIndex && p.Energy < bank.PanelsBelow * bank.CapacityWh ? 1 : 0;
        double clean = 1 - (Math.Min(1, Math.Abs(snow)) * bank.SnowLoss);
        p.PanelToday = p.PanelFactor * stands * (k < PathCase.DullIndex ? clean : 1);
        p.HeatToday = bank.HeatsWithPanelsOnly ? stands : 1;
    }

    private static void Step(PathCase bank, ref LoopPath p, int step)
    {
        StepTable steps = bank.Steps;
        double hours = steps.StepHours;
        double k = steps.Afternoon[step] < 0 ? p.Morning : p.Afternoon;
        double air = steps.AirMeanC[step] + p.Air + (p.Clearness * steps.AirSwingK[step]);
        double rated = k * (steps.PanelLinear[step] + (k * steps.PanelSquare[step]));
        double warm = 1 + ((air + (rated * bank.CellRisePerWatt) - 25) * bank.PanelPerKelvin);
        double panel = Math.Max(0, rated * warm * p.PanelToday);
        double load = p.LoadToday * steps.LoadWatts[step];
        double free = air + ((p.Cell - air) * p.Decay);
        p.HeaterOn = free < bank.HeaterOnC ? 1 : p.Cell >= bank.HeaterOffC - 0.05 ? 0 : p.HeaterOn;
        double wanted = Math.Max(0, (bank.HeaterOffC - free) * p.WattsPerStepKelvin);
        double most = bank.HeaterWatts * steps.HeaterAllowed[step];
        double within = p.Energy > bank.DeadFraction * bank.CapacityWh ? most : Math.Min(most, Math.Max(0, panel - load));
        double heater = p.HeaterOn * p.HeatToday * Math.Min(wanted, within);

        double net = panel - (load + heater);
        double room = (bank.CapacityWh - p.Energy) * Math.Min(bank.TaperPerHour, 1 / (bank.ChargeEfficiency * hours));
        double limit = Math.Min(Math.Min(Zone(bank, p.Cell), bank.ControllerWatts), Math.Max(0, room));
        double charge = Math.Min(Math.Max(0, net), limit);
        double floor = Math.Max(0, bank.FloorAtZero - (p.Cell * bank.FloorPerKelvin)) * bank.CapacityWh;
        double available = Math.Max(0, p.Energy - floor) * (bank.DischargeEfficiency / hours);
        double missing = Math.Max(0, 0 - net);
        double draw = Math.Min(missing, available);
        double unserved = missing - draw;
        double heaterServed = heater - Math.Min(heater, unserved);

        p.Energy = p.Energy + (charge * (bank.ChargeEfficiency * hours)) - (draw * (hours / bank.DischargeEfficiency));
        double warmth = heaterServed + (charge * (1 - bank.ChargeEfficiency)) + (draw * ((1 / bank.DischargeEfficiency) - 1));
        p.Cell = free + (warmth * p.KelvinPerWatt);
    }

    private static double Zone(PathCase bank, double cell)
    {
        double watts = 0;
        for (int i = 0; i < bank.ZoneFromC.Length; i++)
        {
            watts = cell >= bank.ZoneFromC[i] ? bank.ZoneWatts[i] : watts;
        }

        return cell > bank.ZoneEndC ? 0 : watts;
    }

    private static double Lognormal(double normal, double sigma) => LoopMath.Exp((normal * sigma) - (sigma * sigma / 2));

    private struct LoopPath
    {
        internal LoopRandom Random;
        internal double PanelFactor;
        internal double LoadFactor;
        internal double SkyShift;
        internal double AirShift;
        internal double Decay;
        internal double KelvinPerWatt;
        internal double WattsPerStepKelvin;
        internal double Z;
        internal double AirAnomaly;
        internal double Morning;
        internal double Afternoon;
        internal double Air;
        internal double Clearness;
        internal double LoadToday;
        internal double PanelToday;
        internal double HeatToday;
        internal double Energy;
        internal double Cell;
        internal double HeaterOn;
    }
}
