using System.CommandLine;
using KitMesh.Cli.Frame;
using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Outlook.Energy;
using KitMesh.Outlook.Learning;
using NodaTime;

namespace KitMesh.Cli.Commands.Bench;

// The outlook is rolled day by day: every midnight it is asked for the state of charge one, three and seven days ahead, with learning and without, and
// scored when the day has come. Beside it: persistence (the state of charge stays as it is) and climatology (what other trips of the same kind had at all times).
// The world's weather and its bank are not the model's: see RegimeWeather and ForecastWorld. With --csv the weather is measured.

/// <summary><c>kitmesh bench forecast</c>: whether the energy outlook's probabilities can be trusted.</summary>
internal sealed class ForecastBench : ICommandFile
{
    private static readonly int[] Leads = [1, 3, 7];

    private readonly Option<int> _trips = OptionKit.Number("--trips", "Simulated trips.", 1, 1_000, 12);
    private readonly Option<int> _days = OptionKit.Number("--days", "Days of each trip.", 10, 120, 30);
    private readonly Option<int> _paths = OptionKit.Number("--paths", "Paths of each forecast.", 80, 100_000, 800);
    private readonly Option<int> _seed = OptionKit.Number("--seed", "Seed of the worlds.", 0, int.MaxValue, 1);
    private readonly Option<FileInfo?> _csv = new("--csv") { Description = "Measured weather (utc,ghi_Wm2,temp_C) instead of simulated. Default: none.", HelpName = "file" };
    private readonly Option<double> _latitude = OptionKit.Number("--lat", "Latitude of the measured weather.", -90.0, 90.0, 42.0);
    private readonly Option<double> _longitude = OptionKit.Number("--lon", "Longitude of the measured weather.", -180.0, 180.0, 0.0);
    private readonly Option<double> _height = OptionKit.Number("--elev", "Height of the measured weather in metres.", -450.0, 8_850.0, 3_500.0);

    public Command Build(Surroundings surroundings) =>
        new Command("forecast", "Back-test the energy outlook on data that it has not seen.") { _trips, _days, _paths, _seed, _csv, _latitude, _longitude, _height }
            .Runs(surroundings, RunAsync);

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        var place = new Place(
            KitId.Parse("trial place"), new(run.Get(_latitude)), new(run.Get(_longitude)), new(run.Get(_height)), new(-22), new(-5), 0.65, 0.6, ValueList<HorizonPoint>.Empty);
        ForecastWorld[] worlds = Worlds(run, place);
        ForecastWorld[] others = run.Get(_csv) is null ? Simulated(run, place, run.Get(_seed) + 100_000, run.Get(_trips)) : worlds;
        Dictionary<(string Way, int Lead), ForecastTally> tallies = [];
        Dictionary<(string Way, int Lead), ForecastTally> sky = [];
        var heater = new HeaterTally();
        await run.Talk.WithProgressAsync("forecast", progress =>
        {
            for (int i = 0; i < worlds.Length; i++)
            {
                Judge(run, worlds[i], others.Where(other => other != worlds[i]), tallies, heater);
                JudgeSky(worlds[i], sky);
                progress((i + 1.0) / worlds.Length);
            }

            return Task.CompletedTask;
        });

        object Way(string way) => Leads.ToDictionary(
            lead => $"day{lead}", lead => tallies[(way, lead)].Shape(tallies[("persistence", lead)].Crps, tallies[("climatology", lead)].Crps));
        run.Out.Json(new
        {
            bench = "forecast",
            weather = run.Get(_csv)?.Name ?? "spells with storms (not the model's own)",
            trips = worlds.Length,
            days = run.Get(_days),
            paths = run.Get(_paths),
            seed = run.Get(_seed),
            generator = OutlookWorkload.Generator,
            quantity = "state of charge at the end of the day, fraction",
            learnt = Way("learnt"),
            notLearnt = Way("declared"),
            persistenceCrps = Leads.ToDictionary(lead => $"day{lead}", lead => tallies[("persistence", lead)].Crps),
            climatologyCrps = Leads.ToDictionary(lead => $"day{lead}", lead => tallies[("climatology", lead)].Crps),
            sky = new[] { "learnt", "markov", "persistence" }.ToDictionary(way => way, way => Leads.ToDictionary(
                lead => $"day{lead}", lead => sky[(way, lead)].Shape(sky[("persistence", lead)].Crps, double.NaN))),
            heaterWhPerDay = heater.Shape(),
            learningGains = Leads.ToDictionary(lead => $"day{lead}", lead => 1 - (tallies[("learnt", lead)].Crps / tallies[("declared", lead)].Crps)),
        });
        return ExitCode.Good;
    }

    private ForecastWorld[] Worlds(CommandRun run, Place place)
    {
        if (run.Get(_csv) is not { } file)
        {
            return Simulated(run, place, run.Get(_seed), run.Get(_trips));
        }

        var weather = new MeasuredWeather(file, place);
        (double night, double day) = weather.Temperatures;
        Place measured = place with { NightTemperature = new Celsius(night), DayTemperature = new Celsius(day), ClearSkyShare = Math.Clamp(weather.MeanIndex, 0.1, 1) };
        int trips = Math.Max(1, (int)((weather.Last - weather.First).TotalDays / run.Get(_days)));
        return
        [
            .. Enumerable.Range(0, trips).Select(i => new ForecastWorld(
                weather, measured, weather.First.InUtc().Date.PlusDays(1 + (i * run.Get(_days))).AtMidnight().InUtc().ToInstant(),
                Math.Min(run.Get(_days), (int)(weather.Last - weather.First).TotalDays - 2), run.Get(_seed) + i)),
        ];
    }

    private ForecastWorld[] Simulated(CommandRun run, Place place, int seed, int trips) =>
    [
        .. Enumerable.Range(0, trips).Select(i =>
        {
            Instant start = Instant.FromUtc(2027, 2, 1, 0, 0);
            var weather = new RegimeWeather((ulong)(seed + i), start, run.Get(_days), 0.12 * (((i * 7) % 5) - 2) / 2);
            return new ForecastWorld(weather, place, start, run.Get(_days), seed + i);
        }),
    ];

    private void Judge(CommandRun run, ForecastWorld world, IEnumerable<ForecastWorld> others, Dictionary<(string, int), ForecastTally> tallies, HeaterTally heater)
    {
        double[] climate = [.. others.SelectMany(other => other.EndFractions)];
        for (int day = 2; day < world.Days - 1; day += 2)
        {
            run.Stop.ThrowIfCancellationRequested();
            Instant midnight = world.Start + Duration.FromDays(day);
            var question = new EnergyQuestion(
                midnight, world.Kit, world.ReadingsUntil(midnight), ValueList<SkyForecast>.Empty, (ulong)(day + 1), run.Get(_paths));
            EnergyEnsemble learnt = EnergyEnsemble.Of(question, ForecastKit.BankId, learn: true)!;
            EnergyEnsemble declared = EnergyEnsemble.Of(question, ForecastKit.BankId, learn: false)!;
            heater.Add(learnt.HeaterWattHours[0].Average(), declared.HeaterWattHours[0].Average(), world.HeaterWh[day]);
            foreach (int lead in Leads.Where(lead => day + lead - 1 < world.Days))
            {
                double happened = world.EndFractions[day + lead - 1];
                Tally(tallies, "learnt", lead).Add(learnt.EndFractions[lead - 1], happened);
                Tally(tallies, "declared", lead).Add(declared.EndFractions[lead - 1], happened);
                Tally(tallies, "persistence", lead).Add([world.EndFractions[day - 1]], happened);
                Tally(tallies, "climatology", lead).Add(climate, happened);
            }
        }
    }

    // The sky alone, from true indices: the learnt sky with its AR(1) against the published matrices.
    private static void JudgeSky(ForecastWorld world, Dictionary<(string, int), ForecastTally> tallies)
    {
        double[] indices = [.. Enumerable.Range(0, world.Days).Select(world.IndexOf)];
        for (int day = 2; day < world.Days - 1; day += 2)
        {
            foreach (int lead in Leads.Where(lead => day + lead - 1 < world.Days))
            {
                double happened = indices[day + lead - 1];
                (double[] learnt, double[] markov) = SkyTrial.Ahead(world.Place.ClearSkyShare, indices[..day], lead);
                Tally(tallies, "learnt", lead).Add(learnt, happened);
                Tally(tallies, "markov", lead).Add(markov, happened);
                Tally(tallies, "persistence", lead).Add([indices[day - 1]], happened);
            }
        }
    }

    private static ForecastTally Tally(Dictionary<(string, int), ForecastTally> tallies, string way, int lead)
    {
        if (!tallies.TryGetValue((way, lead), out ForecastTally? tally))
        {
            tallies[(way, lead)] = tally = new ForecastTally();
        }

        return tally;
    }
}
