using System.CommandLine;
using KitMesh.Cli.Frame;
using KitMesh.Cli.Running;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Hub;
using Microsoft.Extensions.Logging;

namespace KitMesh.Cli.Commands;

/// <summary><c>kitmesh hub</c>: merges, keeps, answers.</summary>
internal sealed class HubCommand : ICommandFile
{
    /// <summary>Longest time without any progress of the merging; under the watchdog's period of deploy/kitmesh-hub.service.</summary>
    private static readonly TimeSpan LongestMerge = TimeSpan.FromSeconds(20);

    private readonly Option<string?> _trip = OptionKit.Text("--trip", "The trip file (YAML). Without it the kit must be declared elsewhere.");
    private readonly Option<DirectoryInfo?> _data = OptionKit.Folder("--data", "Folder of the journal and the store.", required: true);
    private readonly Option<string?> _store = OptionKit.Text("--store", "A PostgreSQL database for the store, such as postgres://hub@db.camp/trip, which other hubs may share; no password in it. Default: the embedded store in the data folder.");
    private readonly Option<string?> _password = OptionKit.Text("--store-password-file", "A file that only this user can read, whose first line is the database's password. Default: PGPASSWORD, or a pgpass file.");
    private readonly Option<string?> _listen = OptionKit.Text("--listen", "Address for pages, JSON and gRPC. http: this machine only, everybody on it may do everything. https: enrolled devices only; https://0.0.0.0:7433 is every address. Port 0 takes any free port.", "http://127.0.0.1:7433");
    private readonly Option<string?> _node = OptionKit.Text("--node", "The hub's name in the mesh: 1 to 63 characters of a-z, 0-9 and inner hyphens.", "hub");
    private readonly Option<string[]> _to = new("--to") { Description = "A hub to exchange everything with; may be given more than once. https, or http for another hub on this machine. It is dialled until it answers. Default: none.", HelpName = "url" };
    private readonly Option<int> _paths = OptionKit.Number("--paths", "Paths of the energy outlook.", 1_000, 1_000_000, 10_000);
    private readonly Option<ulong> _seed = OptionKit.Number<ulong>("--seed", "Seed of the outlook's random paths.", 1, ulong.MaxValue, 1);
    private readonly Option<bool> _verbose = OptionKit.Switch("--verbose", "Tell on stderr what the hub does.");
    private readonly Option<string?> _otlp = OptionKit.Text("--otlp", "Where figures and traces are sent by OTLP over HTTP, such as http://127.0.0.1:4318. Default: nowhere; /metrics answers readers either way.");
    private readonly Option<bool> _check = OptionKit.Switch("--check", "Start nothing: look at data folder, disk room, journal, clock, certificates, trip file, address and links, say what is right and what is not, and end.");
    private readonly WorldClockOptions _world = new();
    private readonly ParentWatch _parent = new();

    public Command Build(Surroundings surroundings)
    {
        Command command = new Command("hub", "Run a hub: it merges reports, keeps them, and answers. Stops on Ctrl+C or SIGTERM.")
        {
            _trip, _data, _store, _password, _listen, _node, _to, _paths, _seed, _otlp, _check, _verbose,
        }.Runs(surroundings, RunAsync);
        _world.AddTo(command);
        _parent.AddTo(command);
        return command;
    }

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        HubOptions options = Options(run);
        if (run.Get(_check))
        {
            RunClocks looking = _world.Read(run, ClockTrust.HardwareClock);
            return await HubCheckTelling.RunAsync(run, options, new HubClocks(looking.World, looking.Machine, looking.Device));
        }

        TripText.Check(run, options.TripFile);
        _parent.Start(run);
        RunClocks clocks = _world.Read(run, ClockTrust.HardwareClock);
        LogLevel level = run.Get(_verbose) ? LogLevel.Information : LogLevel.Warning;
        HubApplication hub = await StartAsync(options, new HubClocks(clocks.World, clocks.Machine, clocks.Device), logging => StderrLog.Add(logging, run.Talk, level), run.Stop);
        await using (hub)
        {
            run.Talk.Say($"Hub \"{options.Node}\" answers at {hub.Address} (pages in a browser, JSON under /v1, gRPC on the same port). Data in {options.DataFolder}.");
            if (run.Json)
            {
                run.Out.Json(new { kind = "hub_started", node = options.Node, address = hub.Address, data = options.DataFolder });
            }

            await using var notice = ServiceNotice.FromEnvironment(run.Surroundings.Machine);
            notice.Ready(stop => hub.IsMovingAsync(LongestMerge, run.Surroundings.Machine, stop));
            await hub.WaitForStopAsync(run.Stop);
        }

        run.Talk.Say("Hub stopped; everything acknowledged is on disk.");
        return run.Surroundings.Stop.IsCancellationRequested ? run.Surroundings.Stop.ServiceExit : ExitCode.Internal;
    }

    private static async Task<HubApplication> StartAsync(HubOptions options, HubClocks clocks, Action<ILoggingBuilder> logging, CancellationToken stop)
    {
        try
        {
            return await HubApplication.StartAsync(options, clocks, logging, stop);
        }
        catch (HubOptionsException wrong)
        {
            throw CommandFault.BadInput(string.Join(Environment.NewLine + "kitmesh: ", wrong.Problems), inner: wrong);
        }
        catch (HubStartException refused)
        {
            throw CommandFault.BadInput(refused.Message, inner: refused);
        }
        catch (IOException taken) when (taken.InnerException is Microsoft.AspNetCore.Connections.AddressInUseException)
        {
            throw CommandFault.BadInput($"The address {options.Listen} is taken.", "Another hub may be running; stop it or give another port with --listen.", taken);
        }
    }

    private static Uri Address(string text) => Uri.TryCreate(text, UriKind.Absolute, out Uri? hub)
        ? hub
        : throw CommandFault.BadInput($"\"{text}\" is no address.", "Write it like https://192.168.4.1:7433.");

    private HubOptions Options(CommandRun run)
    {
        string node = run.Get(_node)!;
        if (!NodeId.TryParse(node, out NodeId id))
        {
            throw CommandFault.BadInput($"\"{node}\" is no node name.", "Use 1 to 63 characters of a-z, 0-9 and inner hyphens.");
        }

        if (!Uri.TryCreate(run.Get(_listen), UriKind.Absolute, out Uri? listen))
        {
            throw CommandFault.BadInput($"\"{run.Get(_listen)}\" is no address.", "Write it like http://127.0.0.1:7433.");
        }

        return new HubOptions
        {
            Node = id,
            DataFolder = run.Get(_data)!.FullName,
            Database = StoreAddress.Of(run.Get(_store), run.Get(_password)),
            Listen = listen,
            Otlp = run.Get(_otlp) is { } otlp ? Address(otlp) : null,
            Hubs = [.. (run.Get(_to) ?? []).Select(Address)],
            TripFile = run.Get(_trip),
            OutlookPaths = run.Get(_paths),
            OutlookSeed = run.Get(_seed),
        };
    }
}
