using System.CommandLine;
using KitMesh.Agent;
using KitMesh.Agent.Options;
using KitMesh.Cli.Asking;
using KitMesh.Cli.Frame;
using KitMesh.Cli.Running;
using KitMesh.Devices;
using KitMesh.Devices.Options;
using KitMesh.Domain.Time;

namespace KitMesh.Cli.Commands;

/// <summary><c>kitmesh agent</c>: reads devices, guards packs, and hands its reports to a hub.</summary>
internal sealed class AgentCommand : ICommandFile
{
    private readonly Option<FileInfo> _config = OptionKit.ExistingFile("--config", "The agent file (YAML): node, data folder, hubs, packs, readers.");
    private readonly Option<bool> _check = OptionKit.Switch("--check", "Only read the agent file, say what is wrong in it, and end.");
    private readonly WorldClockOptions _world = new();
    private readonly ParentWatch _parent = new();

    public Command Build(Surroundings surroundings)
    {
        Command command = new Command("agent", "Run an agent: it reads devices, guards packs, journals, and hands its reports to a hub when one answers. Stops on Ctrl+C or SIGTERM.")
        {
            _config, _check,
        }.Runs(surroundings, RunAsync);
        _world.AddTo(command);
        _parent.AddTo(command);
        return command;
    }

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        AgentOptions options = Read(run);
        if (run.Get(_check))
        {
            run.Talk.Say($"{run.Get(_config)} is sound: node {options.Node}, {Figures.Count(options.Readers.Count, "reader")}, {Figures.Count(options.Packs.Count, "guarded pack")}.");
            return ExitCode.Good;
        }

        _parent.Start(run);
        RunClocks clocks = _world.Read(run, ClockTrust.HardwareClock);
        string version = typeof(AgentCommand).Assembly.GetName().Version?.ToString(3) ?? "0";
        var surroundings = new AgentSurroundings(clocks.Machine, clocks.Pace, clocks.Device, run.Surroundings.Ids, version, run.Talk.Say)
        {
            RecheckAgeIn = TripText.RecheckAgeIn,
        };
        AgentHost agent = AgentHost.Open(options, surroundings, out string? why)
            ?? throw CommandFault.BadInput($"Agent {options.Node} cannot start: {why}");
        await using (agent)
        {
            await agent.StartAsync(run.Stop);
            run.Talk.Say($"Agent \"{options.Node}\" runs with {Figures.Count(options.Readers.Count, "reader")}; origin {agent.Own}; data in {options.DataFolder}.");
            if (run.Json)
            {
                run.Out.Json(new { kind = "agent_started", node = options.Node, origin = agent.Own, data = options.DataFolder });
            }

            await using var notice = ServiceNotice.FromEnvironment(run.Surroundings.Machine);
            notice.Ready(_ => Task.FromResult(true));
            await agent.WaitForStopAsync(run.Stop);
        }

        run.Talk.Say("Agent stopped; everything it read is on disk.");
        return run.Surroundings.Stop.IsCancellationRequested ? run.Surroundings.Stop.ServiceExit : ExitCode.Internal;
    }

    private AgentOptions Read(CommandRun run)
    {
        string file = run.Get(_config).FullName;
        List<OptionProblem> problems = [];
        if (AgentFile.Parse(file, File.ReadAllText(file), ReaderCatalogue.All, problems) is { } options)
        {
            return options;
        }

        if (problems.Any(problem => problem.Key == "trip"))
        {
            throw CommandFault.BadInput($"{file} is a trip file, not an agent file; nothing was started.", "A trip file goes to the hub: kitmesh hub --trip FILE. deploy/agent.*.example.yaml are agent files to start from.");
        }

        foreach (OptionProblem problem in problems.OrderBy(problem => problem.Line))
        {
            run.Talk.Say(problem.ToString());
        }

        throw CommandFault.BadInput($"The agent file {file} has {problems.Count} {(problems.Count == 1 ? "mistake" : "mistakes")}; nothing was started.");
    }
}
