using System.Collections.Concurrent;
using System.Diagnostics;
using System.Globalization;
using KitMesh.Simulation.Checkers;
using KitMesh.TestKit.Mutants;

namespace KitMesh.Simulation;

/// <summary>Runs worlds from the command line.</summary>
internal sealed class SimulationCommand(TextWriter output, TextWriter talk)
{
    private const string Usage = """
        Worlds of hubs and agents on simulated disks, links and clocks, with the real journal, sessions and fold.
          --seeds A..B    run these worlds; every hundredth twice, which must agree bit for bit
          --seed N        run one world and tell what happens in it
          --kept          run the worlds that failed once (Seeds/), before those of --seeds
          --forger        with one hub that invents reports, and seals that are asked for
          --mutant NAME   with a deliberate mistake in it
          --mutants       run every mistake until a world catches it (at most --seeds worlds each; 1..400 when not said)
          --jobs N        worlds at a time; as many as processors when not said
        """;

    private bool _forger;

    internal int Run(string[] args)
    {
        Mutant mutant = Mutant.None;
        (ulong First, ulong Last)? seeds = null;
        ulong? one = null;
        bool all = false;
        bool kept = false;
        bool forger = false;
        int jobs = Environment.ProcessorCount;
        for (int i = 0; i < args.Length; i++)
        {
            string? value = i + 1 < args.Length ? args[i + 1] : null;
            bool good = args[i] switch
            {
                "--seeds" => TryRange(value, out seeds),
                "--seed" => TryNumber(value, out one),
                "--mutant" => Enum.TryParse(value, ignoreCase: true, out mutant),
                "--jobs" => int.TryParse(value, NumberStyles.None, CultureInfo.InvariantCulture, out jobs) && jobs > 0,
                "--mutants" => all = true,
                "--kept" => kept = true,
                "--forger" => forger = true,
                _ => false,
            };
            if (!good)
            {
                talk.WriteLine($"Cannot read \"{args[i]} {value}\".\n{Usage}");
                return 2;
            }

            i += args[i] is "--mutants" or "--kept" or "--forger" ? 0 : 1;
        }

        _forger = forger;
        return one is { } seed ? RunOne(seed, mutant)
            : all ? RunMutants(seeds ?? (1, 400), jobs)
            : kept || seeds is not null ? RunMany([.. kept ? KeptSeeds.All() : [], .. seeds is { } range ? Seeds(range).Select(seed => (seed, _forger)) : []], mutant, jobs)
            : Explain();
    }

    private int Explain()
    {
        talk.WriteLine(Usage);
        return 2;
    }

    private int RunOne(ulong seed, Mutant mutant)
    {
        string? fault = Try(seed, _forger, mutant, output, out WorldResult? result);
        output.WriteLine(fault ?? $"World {seed} is good: {result!.Reports} reports, {result.Faults.Values.Sum()} faults, {result.Sessions} sessions, {result.Events} events, trace {result.Trace:x16}.");
        return fault is null ? 0 : 1;
    }

    private int RunMany((ulong Seed, bool Forger)[] worlds, Mutant mutant, int jobs)
    {
        var watch = Stopwatch.StartNew();
        var summary = new RunSummary();
        var failures = new ConcurrentBag<(ulong Seed, bool Forger, string Fault)>();
        Parallel.ForEach(Partitioner.Create(worlds, loadBalance: true), new ParallelOptions { MaxDegreeOfParallelism = jobs }, world =>
        {
            string? fault = Try(world.Seed, world.Forger, mutant, null, out WorldResult? result);
            bool isTwice = fault is null && world.Seed % 100 == 0;
            if (isTwice && Try(world.Seed, world.Forger, mutant, null, out WorldResult? again) is null && again!.Trace != result!.Trace)
            {
                fault = "Two runs of the same seed differ.";
            }

            summary.Add(result, isTwice);
            if (fault is not null)
            {
                failures.Add((world.Seed, world.Forger, fault));
            }
        });
        summary.Print(output, watch.Elapsed);
        foreach ((ulong seed, bool forger, string fault) in failures.OrderBy(failure => failure.Seed).Take(20))
        {
            output.WriteLine($"World {seed}: {fault}");
            output.WriteLine($"  dotnet run -c Release --project tests/KitMesh.Simulation -- --seed {seed}{(forger ? " --forger" : "")}{(mutant == Mutant.None ? "" : $" --mutant {mutant}")}");
        }

        output.WriteLine($"{failures.Count} of {summary.Worlds} worlds failed.");
        return failures.IsEmpty ? 0 : 1;
    }

    /// <summary>Each mistake has to be found, or the checkers are worth nothing.</summary>
    private int RunMutants((ulong First, ulong Last) seeds, int jobs)
    {
        var mutants = Enum.GetValues<Mutant>().Where(mutant => mutant != Mutant.None).ToList();
        var caught = new ConcurrentDictionary<Mutant, (ulong Seed, string Fault)>();
        Parallel.ForEach(mutants, new ParallelOptions { MaxDegreeOfParallelism = jobs }, mutant =>
        {
            foreach (ulong seed in Seeds(seeds))
            {
                if (Try(seed, _forger, mutant, null, out _) is { } fault)
                {
                    caught[mutant] = (seed, fault);
                    return;
                }
            }
        });
        foreach (Mutant mutant in mutants)
        {
            output.WriteLine(caught.TryGetValue(mutant, out (ulong Seed, string Fault) found)
                ? $"{mutant,-24} caught by world {found.Seed,4}: {Short(found.Fault)}"
                : $"{mutant,-24} NOT CAUGHT in worlds {seeds.First} to {seeds.Last}");
        }

        output.WriteLine($"{caught.Count} of {mutants.Count} mistakes caught.");
        return caught.Count == mutants.Count ? 0 : 1;
    }

    private static string? Try(ulong seed, bool forger, Mutant mutant, TextWriter? words, out WorldResult? result)
    {
        result = null;
        try
        {
            result = new World(seed, mutant, forger || mutant == Mutant.SealNotAsked, words).Run();
            return null;
        }
        catch (WorldFault fault)
        {
            return fault.Message;
        }
        catch (Exception exception) when (exception is InvalidOperationException or ArgumentException or IndexOutOfRangeException or KeyNotFoundException or NullReferenceException or OverflowException)
        {
            return $"{exception.GetType().Name}: {exception.Message} {exception.StackTrace?.Split('\n')[0].Trim()}";
        }
    }

    private static string Short(string fault) => fault.Length <= 110 ? fault : fault[..107] + "...";

    private static IEnumerable<ulong> Seeds((ulong First, ulong Last) range)
    {
        for (ulong seed = range.First; seed <= range.Last; seed++)
        {
            yield return seed;
        }
    }

    private static bool TryNumber(string? text, out ulong? number)
    {
        bool good = ulong.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out ulong parsed);
        number = parsed;
        return good;
    }

    private static bool TryRange(string? text, out (ulong First, ulong Last)? range)
    {
        string[] parts = text?.Split("..") ?? [];
        range = null;
        if (parts.Length != 2 || !TryNumber(parts[0], out ulong? first) || !TryNumber(parts[1], out ulong? last) || last < first)
        {
            return false;
        }

        range = (first!.Value, last!.Value);
        return true;
    }
}
