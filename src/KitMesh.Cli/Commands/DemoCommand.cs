using System.CommandLine;
using System.Globalization;
using KitMesh.Cli.Asking;
using KitMesh.Cli.Demonstration;
using KitMesh.Cli.Frame;

namespace KitMesh.Cli.Commands;

/// <summary><c>kitmesh demo</c>: the invented scenario, with a real hub and real agents in processes of their own.</summary>
internal sealed class DemoCommand : ICommandFile
{
    /// <summary>World seconds in a machine second while the demo stays up after the scenario.</summary>
    private const double IdleSpeed = 60;

    private readonly Option<bool> _once = OptionKit.Switch("--once", "Exit after one full scenario, with 0.");
    private readonly Option<ulong> _seed = OptionKit.Number<ulong>("--seed", "Seed of weather, loads, footage and faults.", 1, ulong.MaxValue, 1);
    private readonly Option<double> _speed = OptionKit.Number<double>("--speed", "World seconds in a machine second while nothing is copied.", 100, 500_000, 200_000);
    private readonly Option<int> _days = OptionKit.Number("--days", "Days of the 26 that are played; the outlook looks over the rest.", 1, 26, 20);
    private readonly Option<int> _port = OptionKit.Number("--port", "Port of the hub on the loopback address; 0 for any free one.", 0, 65535, 0);
    private readonly Option<DirectoryInfo?> _data = OptionKit.Folder("--data", "Where everything is written; kept. Without it: a temporary folder, removed at the end.", required: false);

    public Command Build(Surroundings surroundings) =>
        new Command("demo", "Play the invented scenario of three teams with a hub and three agents as separate processes, and show what comes of it. Stays up until Ctrl+C.")
        {
            _once, _seed, _speed, _days, _port, _data,
        }.Runs(surroundings, RunAsync);

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        DirectoryInfo? kept = run.Get(_data);
        string folder = kept?.FullName ?? Path.Combine(Path.GetTempPath(), string.Create(CultureInfo.InvariantCulture, $"kitmesh-demo-{run.Surroundings.Ids():x16}"));
        var options = new DemoOptions(run.Get(_seed), run.Get(_speed), run.Get(_days), folder, run.Get(_port));
        try
        {
            await PlayAsync(run, options);
        }
        catch (OperationCanceledException) when (run.Stop.IsCancellationRequested)
        {
            run.Talk.Say("Demo stopped.");
            return run.Surroundings.Stop.ServiceExit;
        }
        finally
        {
            if (kept is null && Directory.Exists(folder))
            {
                Directory.Delete(folder, recursive: true);
            }
        }

        return ExitCode.Good;
    }

    private async Task PlayAsync(CommandRun run, DemoOptions options)
    {
        run.Talk.Say($"The demo's files are in {options.Folder}; seed {options.Seed}.");
        await using DemoStage stage = await DemoStage.SetUpAsync(run, options);
        run.Talk.Say($"Hub (process {stage.Hub.Id}) answers at {stage.HubAddress}; agents: {string.Join(", ", stage.Agents.Select(agent => agent.Id))}.");
        var script = new DemoScript(stage, run.Talk);
        await run.Talk.WithProgressAsync("Playing the scenario", script.PlayAsync);

        DemoAnswers answers;
        using (HubClient hub = stage.Ask())
        {
            answers = await DemoAnswers.AskAsync(hub);
        }

        if (run.Json)
        {
            run.Out.Line(AnswerJson.Line(answers.ToJson()));
        }
        else
        {
            answers.Draw(run.Out);
        }

        if (!run.Get(_once))
        {
            run.Talk.Say($"Page: {stage.HubAddress}   API: {stage.HubAddress}v1/outlook, v1/ledger, v1/alerts, v1/advice, v1/reports, v1/status (and gRPC).");
            run.Talk.Say($"Ask it: kitmesh outlook --hub {stage.HubAddress}. Ctrl+C ends the demo.");
            stage.Clock.SetSpeed(IdleSpeed);
            await stage.NapAsync(Timeout.InfiniteTimeSpan);
        }
    }
}
