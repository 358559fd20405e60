using KitMesh.Cli.Frame;
using KitMesh.Domain.Quantities;
using KitMesh.Offload.Handover;

namespace KitMesh.Cli.Commands.Export;

/// <summary><c>kitmesh recheck</c> of a bag: complete, and every hash as its manifests say.</summary>
internal static class BagRecheck
{
    public static async Task<ExitCode> RunAsync(CommandRun run, string[] bags)
    {
        if (Array.Find(bags, bag => !BagCheck.IsBag(bag)) is { } other)
        {
            throw CommandFault.BadInput($"{other} is no bag, and the others are.", "Check bags and drives in runs of their own.");
        }

        List<(string Bag, BagOutcome Outcome)> outcomes = [];
        foreach (string bag in bags)
        {
            await run.Talk.WithProgressAsync($"recheck {bag}", say => Task.Run(() =>
                outcomes.Add((bag, BagCheck.Run(Path.GetFullPath(bag), (done, total) => say(total > 0 ? (double)done / total : 1), run.Stop)))));
        }

        if (run.Json)
        {
            run.Out.Json(new
            {
                kind = "bag_verdict",
                good = outcomes.TrueForAll(bag => bag.Outcome.IsGood),
                bags = outcomes.Select(bag => new { bag = bag.Bag, files = bag.Outcome.Files, bytes = bag.Outcome.Bytes, faults = bag.Outcome.Faults, stopped = bag.Outcome.Stopped }),
            });
        }
        else
        {
            foreach ((string bag, BagOutcome outcome) in outcomes)
            {
                run.Out.Heading(outcome.IsGood ? $"{bag}: a valid bag of {outcome.Files} files, {new ByteCount(outcome.Bytes)}" : $"{bag}: NOT VALID");
                foreach (string fault in outcome.Faults)
                {
                    run.Out.Line($"  {fault}");
                }
            }
        }

        return outcomes.Exists(bag => bag.Outcome.Stopped) ? ExitCode.Interrupted
            : outcomes.TrueForAll(bag => bag.Outcome.IsGood) ? ExitCode.Good
            : ExitCode.BadNews;
    }
}
