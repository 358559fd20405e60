using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Results;

namespace KitMesh.Outlook.Energy;

// Problem: which doubtful input moves the answer most, how wide the answer is because of all of them, and what stops first when it gets tight.
// Trap: two runs with different random numbers differ by noise that hides small effects.
// Method: common random numbers (the same seed for every variant), one input moved by its own doubt at a time; best and worst case move all of them
// together by one standard deviation, which is wider than independent doubts would be and is said so.

/// <summary>Runs of the same paths with one thing changed.</summary>
internal sealed class WhatIfs
{
    private const int MostPaths = 2_000;

    private readonly BankCases _cases;
    private readonly ulong _seed;
    private readonly int _paths;
    private readonly PathCase _base;
    private readonly PathDays _baseDays;

    internal WhatIfs(BankCases cases, ulong seed, int paths)
    {
        _cases = cases;
        _seed = seed;
        _paths = Math.Min(MostPaths, paths);
        _base = cases.Coarse(cases.Beliefs.Heater);
        _baseDays = Run(_base);
    }

    internal PathDays Good => Run(AllAtOnce(-1));

    internal PathDays Bad => Run(AllAtOnce(+1));

    /// <summary>The panels stand and the heater runs for the sun alone: what the sun is worth net of its heat.</summary>
    internal PathDays ForTheSun() =>
        Run(_cases.Coarse(_cases.Bank.Box is { Heater.Value: > 0 } ? HeaterPolicy.ForTheSun : HeaterPolicy.Off));

    internal PathDays WithoutSun() => Run(_base with { PanelScale = 0 });

    /// <summary>When the panels should go out.</summary>
    internal PanelPolicy? Panels() => PolicyAdvisor.Panels(_base, Run, _cases.Settings);

    /// <summary>How the heater should run.</summary>
    internal HeaterChoice? Heater() => PolicyAdvisor.Heater(_cases.Coarse, Run);

    internal ValueList<InputInfluence> Influences()
    {
        var all = new List<InputInfluence>
        {
            One("loads", Percent("loads {0} % higher", Math.Exp(_base.LoadDoubt + 0.05) - 1), _base with { LoadScale = Math.Exp(_base.LoadDoubt + 0.05) }),
            One("clear-sky share of the place", "sky one standard deviation of its doubt cloudier", _base with { SkyShiftZ = _base.SkyShiftZ - _base.SkyDoubt }),
            One("air temperature", "5 K colder", _base with { AirShiftK = _base.AirShiftK - 5 }),
            One("state of charge now", Percent("{0} % of capacity less now", _base.StartFractionSd), _base with { StartFraction = Math.Max(0, _base.StartFraction - _base.StartFractionSd) }),
        };
        if (_base.PanelWatts > 0)
        {
            double less = Math.Exp(-_base.PanelDoubt);
            all.Add(One("panels", Percent("panels give {0} % less", 1 - less), _base with { PanelScale = _base.PanelScale * less }));
        }

        if (_base.HeaterWatts > 0)
        {
            all.Add(One("box", "box loses 25 % more heat", _base with { BoxWattsPerKelvin = _base.BoxWattsPerKelvin * 1.25 }));
            if (_cases.Beliefs.Heater == HeaterPolicy.Always)
            {
                all.Add(One("heater", "heater on only ahead of the sun", _cases.Coarse(HeaterPolicy.ForTheSun)));
            }
        }

        return all
            .OrderByDescending(influence => Math.Round(Math.Abs(influence.Moves), 3))
            .ThenByDescending(influence => Math.Abs(influence.EnergyPerDay.Value))
            .Take(4)
            .ToValueList();
    }

    /// <summary>Energy a day for all loads that lasts to the end in nine cases of ten, up to three times what is wanted; 0 when nothing does.</summary>
    internal double SustainableWh()
    {
        double wanted = _cases.LifeWh + _cases.WorkWh;
        double low = 0;
        double high = 3;
        for (int i = 0; i < 7; i++)
        {
            double middle = (low + high) / 2;
            bool lasts = Run(_base with { LoadScale = Math.Max(0.001, middle) }).ShortByEnd <= 0.1;
            (low, high) = lasts ? (middle, high) : (low, middle);
        }

        return low * wanted;
    }

    /// <summary>The ladder: comfort before work, the least important first; never life-safety.</summary>
    internal ValueList<RationStep> Rations()
    {
        Load[] order =
        [
            .. _cases.Bank.Loads
                .Where(load => load.Class != LoadClass.LifeSafety)
                .OrderByDescending(load => load.Class).ThenByDescending(load => load.Priority).ThenBy(load => load.Id),
        ];
        double total = _cases.LifeWh + _cases.WorkWh;
        if (order.Length == 0 || total <= 0 || _baseDays.ShortByEnd < 0.005)
        {
            return ValueList<RationStep>.Empty;
        }

        var steps = new List<RationStep>();
        double saved = 0;
        for (int i = 0; i < Math.Min(order.Length, 8); i++)
        {
            double perDay = _cases.Beliefs.Loads[order[i].Id].MeanWh;
            saved += perDay;
            double chance = Run(_base with { LoadScale = Math.Max(0.001, (total - saved) / total) }).ShortByEnd;
            steps.Add(new RationStep(i + 1, order[i].Id, order[i].Class, new WattHours(perDay), new Probability(chance)));
            if (chance < 0.01)
            {
                break;
            }
        }

        return steps.ToValueList();
    }

    private InputInfluence One(string input, string change, PathCase variant)
    {
        PathDays days = Run(variant);
        return new InputInfluence(
            input, change, new Probability(days.ShortByEnd), days.ShortByEnd - _baseDays.ShortByEnd, new WattHours(PerDay(days, variant) - PerDay(_baseDays, _base)));
    }

    // What the panels offer less loads and heater, mean of the whole trip: also what a full or cold bank could not take counts.
    private static double PerDay(PathDays days, PathCase bank)
    {
        double sum = 0;
        for (int day = 0; day < bank.Steps.Days; day++)
        {
            sum += days.Harvest[day].Mean() + days.Wasted[day].Mean() - days.Loads[day].Mean() - days.Heater[day].Mean();
        }

        return sum / bank.Steps.Days;
    }

    private PathCase AllAtOnce(int direction) => _base with
    {
        LoadScale = Math.Exp(direction * _base.LoadDoubt),
        PanelScale = _base.PanelScale * Math.Exp(-direction * _base.PanelDoubt),
        SkyShiftZ = _base.SkyShiftZ - (direction * _base.SkyDoubt),
        AirShiftK = _base.AirShiftK - (direction * _base.AirDoubtK),
        StartFraction = Math.Clamp(_base.StartFraction - (direction * _base.StartFractionSd), 0, 1),
        LoadDoubt = 0,
        PanelDoubt = 0,
        SkyDoubt = 0,
        AirDoubtK = 0,
        StartFractionSd = 0,
    };

    private PathDays Run(PathCase variant) => PathEngine.Run(variant, _seed, _paths);

    private static string Percent(string words, double fraction) =>
        string.Format(System.Globalization.CultureInfo.InvariantCulture, words, Math.Round(fraction * 100));
}
