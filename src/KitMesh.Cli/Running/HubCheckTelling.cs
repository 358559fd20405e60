using KitMesh.Cli.Frame;
using KitMesh.Hub;
using KitMesh.Hub.SelfTest;

namespace KitMesh.Cli.Running;

/// <summary>Says what the self test of a hub found, and turns it into an exit code.</summary>
internal static class HubCheckTelling
{
    /// <summary>Runs the test: 0 when nothing is wrong, 2 when a file or an option is, 1 when something else is.</summary>
    public static async Task<ExitCode> RunAsync(CommandRun run, HubOptions options, HubClocks clocks)
    {
        // Whether the trip file is there is one line of the test, not a reason to leave the others out.
        IReadOnlyList<string> problems = HubOptionsCheck.Problems(options with { TripFile = null });
        if (problems.Count > 0)
        {
            throw CommandFault.BadInput(string.Join(Environment.NewLine + "kitmesh: ", problems));
        }

        IReadOnlyList<CheckLine> lines = await HubSelfTest.RunAsync(options, clocks, run.Stop);
        ExitCode code = CodeOf(lines);
        if (run.Json)
        {
            run.Out.Json(new { kind = "hub_check", node = options.Node, data = options.DataFolder, good = code == ExitCode.Good, lines });
            return code;
        }

        foreach (CheckLine line in lines)
        {
            string mend = line.Mend is { } words ? $" {words}" : "";
            run.Out.Paragraph($"{Word(line.Outcome)}: {line.Check}: {line.Words}{mend}", hanging: 4);
        }

        int wrong = lines.Count(line => line.Outcome == CheckOutcome.Wrong);
        int look = lines.Count(line => line.Outcome == CheckOutcome.Look);
        run.Talk.Say(wrong > 0 ? $"{wrong} of {lines.Count} checks went wrong; see above what to do." : look > 0 ? $"The hub can be started; {look} of {lines.Count} want a look." : $"The hub can be started; all {lines.Count} checks are right.");
        return code;
    }

    private static ExitCode CodeOf(IReadOnlyList<CheckLine> lines)
    {
        List<CheckLine> wrong = [.. lines.Where(line => line.Outcome == CheckOutcome.Wrong)];
        return wrong.Count == 0 ? ExitCode.Good : wrong.TrueForAll(line => line.Check == HubSelfTest.TripFile) ? ExitCode.BadInput : ExitCode.BadNews;
    }

    private static string Word(CheckOutcome outcome) => outcome switch
    {
        CheckOutcome.Right => "right",
        CheckOutcome.Look => "look",
        CheckOutcome.Wrong => "WRONG",
        _ => throw new InvalidOperationException($"Unknown outcome {outcome}."),
    };
}
