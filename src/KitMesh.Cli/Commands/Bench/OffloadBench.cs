using System.CommandLine;
using KitMesh.Cli.Commands.Offloading;
using KitMesh.Cli.Commands.Offloading.Modelled;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Reports;
using KitMesh.Offload.Drives;
using KitMesh.Offload.Engine;
using KitMesh.Offload.Hashing;
using Spectre.Console;

namespace KitMesh.Cli.Commands.Bench;

// What is measured: whole offloads (read, three writes, flush, three readings from the medium, hashes, lists on drives)
// against the least that any program must do. Two kinds of drive. Unthrottled, all on the disk of this machine, beside the
// floor: the same bytes by direct I/O with the same flushes and no hash; and beside common tools. Throttled, on loop devices
// whose rates the kernel holds, as real card readers and portable drives are slower than the machine; there the floor is
// arithmetic: bytes / write rate + bytes / read rate of one drive, since all drives work at once. The kernel holds reads and
// writes to two limits; a real drive has one budget for both, so there are modelled drives as well, which keep one, seek,
// or fall to a slow rate (shingled). All rounds of one run take turns, so that a slow minute of the machine hits all alike,
// and medians are told.

/// <summary><c>kitmesh bench offload</c>.</summary>
internal sealed class OffloadBench : ICommandFile
{
    private const int LargeFile = 1 << 30;

    private readonly Option<DirectoryInfo?> _folder = OptionKit.Folder("--dir", "Where to work; needs eight times the bytes copied. Default: the temporary folder.", required: false);
    private readonly Option<int> _large = OptionKit.Number("--large", "Files of 1 GiB in the large set; 0 leaves it out.", 0, 64, 2);
    private readonly Option<int> _small = OptionKit.Number("--small", "Small files beside one of 1 GiB in the mixed set; 0 leaves it out.", 0, 100_000, 2000);
    private readonly Option<int> _rounds = OptionKit.Number("--rounds", "Rounds of each; medians are told.", 1, 99, 3);
    private readonly Option<int> _throttled = OptionKit.Number("--throttled", "Megabytes copied to throttled drives; 0 leaves them out. Needs root.", 0, 100_000, 1000);
    private readonly Option<DirectoryInfo?> _backing = OptionKit.Folder(
        "--throttled-dir", "Where the files behind throttled drives lie; in memory (/dev/shm) where the disk is slower than four drives at once. Default: as --dir.", required: false);
    private readonly Option<string[]> _model = new("--model")
    {
        Description = $"Drives served from memory that keep one budget for reads and writes: {string.Join(", ", ModelKind.All.Select(kind => kind.Name))}; may be given more than once. Size as --throttled. Needs root and /dev/fuse. Default: none.",
        HelpName = "kind",
    };

    private readonly Option<bool> _cold = OptionKit.Switch("--cold", "Leave out the round that warms up and is not counted.");
    private readonly Option<bool> _tools = OptionKit.Switch("--tools", "Measure cp + xxhsum and rsync beside it.");

    /// <inheritdoc/>
    public Command Build(Surroundings surroundings) => new Command("offload", "How fast a card is copied to three drives and proven, against the least any program must do.")
    {
        _folder, _large, _small, _rounds, _throttled, _backing, _model, _cold, _tools,
    }.Runs(surroundings, RunAsync);

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        DirectoryInfo under = run.Get(_folder) ?? new DirectoryInfo(Path.GetTempPath());
        under.Create();
        string root = Directory.CreateDirectory(Path.Combine(under.FullName, $"kitmesh-bench-{run.Surroundings.Ids():x16}")).FullName;
        try
        {
            List<BenchResult> results = [];
            await Task.Run(() => Measure(run, root, results));
            Print(run, results);
            return ExitCode.Good;
        }
        finally
        {
            Directory.Delete(root, recursive: true);
        }
    }

    private void Measure(CommandRun run, string root, List<BenchResult> results)
    {
        if (run.Get(_large) > 0)
        {
            string large = Path.Combine(root, "large");
            BenchFiles.Make(large, "C{0:0000}.MP4", run.Get(_large), LargeFile, 1);
            results.AddRange(Unthrottled(run, root, "large", large));
            Directory.Delete(large, recursive: true);
        }

        if (run.Get(_small) > 0)
        {
            string mixed = Path.Combine(root, "mixed");
            BenchFiles.Make(mixed, "S{0:00000}.XML", run.Get(_small), 0, 2);
            BenchFiles.Make(mixed, "C{0:0000}.MP4", 1, LargeFile, 3);
            results.AddRange(Unthrottled(run, root, "mixed", mixed));
            Directory.Delete(mixed, recursive: true);
        }

        foreach (string name in run.Get(_model) ?? [])
        {
            ModelKind kind = ModelKind.All.FirstOrDefault(kind => kind.Name == name)
                ?? throw CommandFault.BadInput($"--model knows no \"{name}\".", $"Write one of {string.Join(", ", ModelKind.All.Select(kind => kind.Name))}.");
            results.AddRange(Modelled(run, Directory.CreateDirectory(Path.Combine(root, name)).FullName, kind));
        }

        if (run.Get(_throttled) > 0 && run.Get(_model) is null or [])
        {
            string backing = run.Get(_backing) is { } folder ? Directory.CreateDirectory(Path.Combine(folder.FullName, Path.GetFileName(root))).FullName : root;
            try
            {
                results.AddRange(Throttled(run, backing));
            }
            finally
            {
                if (backing != root)
                {
                    Directory.Delete(backing, recursive: true);
                }
            }
        }
    }

    private IEnumerable<BenchResult> Unthrottled(CommandRun run, string root, string set, string card)
    {
        var ways = new List<(string Name, Action<string[]> Run)>
        {
            ("floor", drives => DirectFloor.Run(card, drives)),
            ("engine", drives => Offload(run, card, drives, ReadBackOrder.Automatic, [])),
            ("engine with sha256", drives => Offload(run, card, drives, ReadBackOrder.Automatic, [HashKind.Sha256])),
        };
        if (run.Get(_tools))
        {
            ways.Add(("cp and xxhsum", drives => BenchTools.CopyThenSum(card, drives)));
            ways.Add(("rsync and check", drives => BenchTools.Rsync(card, drives)));
        }

        return Rounds(run, root, set, BenchFiles.Bytes(card), ways);
    }

    private List<BenchResult> Throttled(CommandRun run, string root)
    {
        long bytes = run.Get(_throttled) * 1_000_000L;
        if (ThrottledDrives.Make(root, bytes, run.Surroundings.Ids(), out string why) is not { } drives)
        {
            run.Talk.Say($"No throttled drives on this machine: {why}.");
            return [];
        }

        using (drives)
        {
            BenchFiles.Make(drives.Card, "C{0:0000}.MP4", 4, (int)(bytes / 4), 4);
            var ways = new List<(string Name, Action<string[]> Run)>
            {
                ("alternating", _ => Offload(run, drives.Card, drives.Drives, ReadBackOrder.Alternating, [])),
                ("overlapping", _ => Offload(run, drives.Card, drives.Drives, ReadBackOrder.Overlapping, [])),
                ("alternating with sha256", _ => Offload(run, drives.Card, drives.Drives, ReadBackOrder.Alternating, [HashKind.Sha256])),
            };
            List<BenchResult> results = Rounds(run, null, "throttled", BenchFiles.Bytes(drives.Card), ways, drives.Empty, drives.Throttle);
            results.Insert(0, new BenchResult("throttled", "floor", bytes, drives.FloorSeconds(BenchFiles.Bytes(drives.Card)), 0, 0));
            return results;
        }
    }

    private List<BenchResult> Modelled(CommandRun run, string root, ModelKind kind)
    {
        long bytes = Math.Max(4, run.Get(_throttled)) * 1_000_000L;

        // A shingled drive stands beside two that are not: it must not cost them more than the buffers force.
        ModelKind other = kind.FastBytes > 0 ? ModelKind.All[0] : kind;
        if (ModelledDrives.Make(root, bytes, kind.Folders > 1 ? [kind] : [kind, other, other], out string why) is not { } drives)
        {
            run.Talk.Say($"No modelled drives on this machine: {why}.");
            return [];
        }

        using (drives)
        {
            BenchFiles.Make(drives.Card, "C{0:0000}.MP4", 4, (int)(bytes / 4), 4);
            var ways = new List<(string Name, Action<string[]> Run)>
            {
                ("alternating", _ => Offload(run, drives.Card, drives.Drives, ReadBackOrder.Alternating, [])),
                ("overlapping", _ => Offload(run, drives.Card, drives.Drives, ReadBackOrder.Overlapping, [])),
                ("alternating with sha256", _ => Offload(run, drives.Card, drives.Drives, ReadBackOrder.Alternating, [HashKind.Sha256])),

                // What the same drives let any program do that writes, flushes and then reads back: no offload is to be slower.
                ("serial program", _ => DirectFloor.Run(drives.Card, drives.Drives)),
            };
            if (kind.Folders > 1)
            {
                ways =
                [
                    ("at once", _ => Offload(run, drives.Card, drives.Drives, ReadBackOrder.Alternating, [], turns: false)),
                    ("taking turns", _ => Offload(run, drives.Card, drives.Drives, ReadBackOrder.Alternating, [], turns: true)),
                ];
            }

            string set = $"model {kind.Name}";
            List<BenchResult> results = Rounds(run, null, set, BenchFiles.Bytes(drives.Card), ways, drives.Empty, drives.Throttle);
            results.Insert(0, new BenchResult(set, "floor", bytes, drives.FloorSeconds(BenchFiles.Bytes(drives.Card)), 0, 0));
            return results;
        }
    }

    private List<BenchResult> Rounds(
        CommandRun run,
        string? root,
        string set,
        long bytes,
        List<(string Name, Action<string[]> Run)> ways,
        Action? before = null,
        Func<IDisposable>? under = null)
    {
        List<(double Wall, double Cpu, long Peak)>[] measured = [.. ways.Select(_ => new List<(double, double, long)>())];

        // Round 0 warms up (the program's own start, memory that a drive's backing takes for the first time) and is not counted.
        for (int round = run.Get(_cold) ? 1 : 0; round <= run.Get(_rounds); round++)
        {
            for (int way = 0; way < ways.Count; way++)
            {
                run.Stop.ThrowIfCancellationRequested();
                before?.Invoke();
                string[] drives = root is null ? [] : [.. Enumerable.Range(1, 3).Select(i => Directory.CreateDirectory(Path.Combine(root, $"D{i}")).FullName)];
                using (under?.Invoke())
                {
                    (double Wall, double Cpu, long Peak) one = Time(run, () => ways[way].Run(drives));
                    if (round > 0)
                    {
                        measured[way].Add(one);
                    }

                    string name = round == 0 ? "warm-up" : FormattableString.Invariant($"round {round}");
                    run.Talk.Say(FormattableString.Invariant($"{set}: {name}, {ways[way].Name}: {one.Wall:0.00} s, processor {one.Cpu:0.00} s, memory {one.Peak / 1048576.0:0} MiB"));
                }

                PutAway(root, drives, (round * ways.Count) + way);
            }
        }

        return [.. ways.Select((way, i) => new BenchResult(set, way.Name, bytes, Median(measured[i].Select(m => m.Wall)), Median(measured[i].Select(m => m.Cpu)), measured[i].Count, measured[i].Max(m => m.Peak)))];
    }

    // Large files go at once, for their room. Small ones stay until the end: ext4 steps over places of files that were just
    // deleted, one by one, so that whoever writes next would pay for it.
    private static void PutAway(string? root, string[] drives, int number)
    {
        foreach (string drive in drives)
        {
            foreach (FileInfo large in new DirectoryInfo(drive).EnumerateFiles("*", SearchOption.AllDirectories).Where(file => file.Length > 1 << 20))
            {
                large.Delete();
            }

            Directory.Move(drive, Path.Combine(root!, $"{Path.GetFileName(drive)}-{number}"));
        }
    }

    private static void Offload(CommandRun run, string card, string[] drives, ReadBackOrder order, HashKind[] hashes, bool? turns = null)
    {
        var request = new OffloadRequest(card, KitId.Parse("bench card"), KitId.Parse("bench"), null, [.. drives.Select(drive => new DriveTarget(drive))], drives.Length)
        {
            Order = order,
            ExtraHashes = hashes,
            Turns = turns,
        };
        var engine = new OffloadEngine(run.Surroundings.World, run.Surroundings.Machine, run.Surroundings.Ids);
        OffloadResult result = engine.Run(request, static _ => { }, new OffloadProgress(), run.Stop);
        if (result is not OffloadResult.Ran { Outcome: var outcome } || !outcome.Verdict().MayFormat)
        {
            string why = result is OffloadResult.Ran ran ? string.Join("; ", ran.Outcome.Verdict().Reasons) : string.Join("; ", ((OffloadResult.Refused)result).Problems);
            throw CommandFault.BadInput($"The measured offload did not end well: {why}.", "Is there room enough? See --dir.");
        }
    }

    private static (double Wall, double Cpu, long Peak) Time(CommandRun run, Action action)
    {
        PeakMemory.Forget();
        TimeSpan cpu = System.Diagnostics.Process.GetCurrentProcess().TotalProcessorTime;
        long start = run.Surroundings.Machine.GetTimestamp();
        action();
        TimeSpan wall = run.Surroundings.Machine.GetElapsedTime(start);
        return (wall.TotalSeconds, (System.Diagnostics.Process.GetCurrentProcess().TotalProcessorTime - cpu).TotalSeconds, PeakMemory.Bytes());
    }

    private static double Median(IEnumerable<double> values)
    {
        double[] sorted = [.. values.Order()];
        return (sorted[(sorted.Length - 1) / 2] + sorted[sorted.Length / 2]) / 2;
    }

    private static void Print(CommandRun run, List<BenchResult> results)
    {
        double Floor(BenchResult result) => results.First(other => other.Set == result.Set && other.Way == "floor").Seconds;
        var rows = results.Select(result => new
        {
            set = result.Set,
            way = result.Way,
            bytes = result.Bytes,
            rounds = result.Rounds,
            seconds = Math.Round(result.Seconds, 3),
            timesFloor = Math.Round(result.Seconds / Floor(result), 3),
            cpuSecondsPerGiB = Math.Round(result.CpuSeconds / (result.Bytes / (double)(1 << 30)), 3),
            peakMiB = Math.Round(result.PeakBytes / (double)(1 << 20), 1),
        }).ToList();
        if (run.Json)
        {
            run.Out.Json(new { kind = "bench_offload", card = ThrottledDrives.CardRead, write = ThrottledDrives.DriveWrite, read = ThrottledDrives.DriveRead, results = rows });
            return;
        }

        Table table = DataOut.Table("Set", "Way", ">GB", ">Seconds", ">x floor", ">CPU s/GiB", ">Memory MiB");
        foreach (var row in rows)
        {
            table.AddRow(row.set, row.way, $"{row.bytes / 1e9:0.00}", $"{row.seconds:0.00}", $"{row.timesFloor:0.000}", $"{row.cpuSecondsPerGiB:0.00}", row.peakMiB > 0 ? $"{row.peakMiB:0}" : "-");
        }

        run.Out.Draw(table);
    }
}
