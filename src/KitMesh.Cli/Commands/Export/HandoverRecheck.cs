using KitMesh.Cli.Frame;
using KitMesh.Export.Handover;
using KitMesh.Offload.Handover;

namespace KitMesh.Cli.Commands.Export;

/// <summary><c>kitmesh recheck --handover</c>: the other side proves what it was given.</summary>
internal static class HandoverRecheck
{
    private const int MostNamed = 50;

    public static async Task<ExitCode> RunAsync(CommandRun run, string handover, string[] roots)
    {
        if (Array.Find(roots, root => !Directory.Exists(root)) is { } absent)
        {
            throw CommandFault.BadInput($"{absent} is no folder: is the drive plugged in and mounted?");
        }

        Inventory inventory = HandoverFolder.Read(handover);
        HandoverOutcome? outcome = null;
        await run.Talk.WithProgressAsync("recheck", say => Task.Run(() => outcome = HandoverCheck.Run(
            HandoverFolder.Expected(inventory), roots, (done, total) => say(total > 0 ? (double)done / total : 1), run.Stop)));
        Print(run, inventory, outcome!);
        return outcome!.Stopped ? ExitCode.Interrupted : outcome.IsGood ? ExitCode.Good : ExitCode.BadNews;
    }

    private static void Print(CommandRun run, Inventory inventory, HandoverOutcome outcome)
    {
        if (run.Json)
        {
            run.Out.Json(new
            {
                kind = "handover_verdict",
                good = outcome.IsGood,
                trip = inventory.Trip,
                clips = outcome.Expected.Count,
                proven = outcome.Proven,
                copies = outcome.Found.Count,
                levels = outcome.Found.GroupBy(copy => copy.Level).OrderBy(level => level.Key).Select(level => new { level = level.Key, copies = level.Count() }),
                missing = outcome.Missing.Select(clip => new { xxh128 = clip.Clip, name = clip.Name, size = clip.Size }),
                knownMissing = outcome.KnownMissing.Select(clip => new { xxh128 = clip.Clip, name = clip.Name }),
                bad = outcome.Bad.Select(file => new { root = file.Root, path = file.Path, why = file.Why }),
                unknownFiles = outcome.Unknown,
                stopped = outcome.Stopped,
            });
            return;
        }

        run.Out.Heading(outcome.IsGood ? $"All {outcome.Proven} clips that were promised are there" : $"{outcome.Proven} of {outcome.Expected.Count} clips are there; NOT ALL IS GOOD");
        run.Out.Line($"  {outcome.Found.Count} copies were read from the drives and hashed equal; {outcome.Unknown} other files are not part of the handover.");
        Name(run, "Missing", outcome.Missing.Select(clip => clip.Name));
        Name(run, "Bad", outcome.Bad.Select(file => $"{file.Root}/{file.Path}: {file.Why}"));
        Name(run, "Missing, as the handover itself says", outcome.KnownMissing.Select(clip => clip.Name));
        if (!outcome.IsGood)
        {
            run.Out.Line("Next: plug in the drives that are not here yet and run it with all of them; tell the crew before any card or drive is cleared.");
        }
    }

    private static void Name(CommandRun run, string what, IEnumerable<string> names)
    {
        string[] all = [.. names];
        foreach (string name in all.Take(MostNamed))
        {
            run.Out.Line($"  {what}: {name}");
        }

        if (all.Length > MostNamed)
        {
            run.Out.Line($"  {what}: and {all.Length - MostNamed} more; --json lists all");
        }
    }
}
