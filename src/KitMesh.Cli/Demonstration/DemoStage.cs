using System.Globalization;
using System.Net;
using System.Net.Sockets;
using KitMesh.Cli.Asking;
using KitMesh.Cli.Frame;
using KitMesh.Demo;
using KitMesh.Demo.Chance;
using KitMesh.Demo.Clock;
using KitMesh.Demo.Devices;
using KitMesh.Demo.Power;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Offload.Drives;
using KitMesh.TripFile;
using NodaTime;

namespace KitMesh.Cli.Demonstration;

/// <summary>Everything that stands on the demo's stage: the world, its devices, and the hub and agents as processes.</summary>
internal sealed class DemoStage : IAsyncDisposable
{
    private static readonly KitId BaseBank = KitId.Parse("base bank");
    private static readonly KitId Station = KitId.Parse("base station");
    private static readonly TimeSpan SysfsEvery = TimeSpan.FromMilliseconds(20);
    private static readonly TimeSpan ShortNap = TimeSpan.FromMilliseconds(1);
    private static readonly TimeSpan LongestMeeting = TimeSpan.FromSeconds(10);
    private static readonly TimeSpan LongestWait = TimeSpan.FromMilliseconds(500);
    private static readonly Duration Stride = Duration.FromMinutes(14);

    /// <summary>Each side of a meeting reports how it saw the other's clock.</summary>
    private const int PairsOfAMeeting = 2;

    private readonly CommandRun _run;
    private readonly SysfsTree _sysfs;
    private readonly ITimer _sysfsTimer;
    private readonly ModbusTcpServer _controller;
    private readonly ReadNotice _thermometer;
    private Instant _seenUntil;
    private long _answered;
    private int _writing;

    private DemoStage(CommandRun run, DemoOptions options, DemoLayout layout, IReadOnlyCollection<KitItem> kit)
    {
        _run = run;
        Options = options;
        Layout = layout;
        Kit = kit;
        World = new DemoWorld(kit, options.Seed, layout.Pocket);
        Clock = WorldClockFile.Create(layout.Clock, World.Scene.Start, 0, run.Surroundings.Machine);
        _sysfs = new SysfsTree(layout.Sysfs);
        WriteSysfs();
        _sysfsTimer = run.Surroundings.Machine.CreateTimer(_ => WriteSysfs(), null, SysfsEvery, SysfsEvery);
        _controller = new ModbusTcpServer(ChargeControllerRegisters.BaseAddress, () => World.Look(BaseBank, Clock.Now, ChargeControllerRegisters.Of));
        _thermometer = new ReadNotice(_sysfs.OuterProbeFolder);
        _seenUntil = Clock.Now;
        HubPort = options.Port != 0 ? options.Port : FreePort();
        RidgeLink = new LinkRelay(HubPort);
        Hub = Node("hub", "hub", "--trip", layout.Trip, "--data", layout.HubData, "--listen", HubAddress.ToString(), "--node", "base-hub");
        Agents =
        [
            Node("base-power", "agent", "--config", DemoAgentFiles.Power(layout, HubPort, _controller.Port)),
            Node("base-station", "agent", "--dead-clock", "--config", DemoAgentFiles.Station(layout, HubPort, kit)),
            Node("ridge-phone", "agent", "--config", DemoAgentFiles.Phone(layout, RidgeLink.Port)),
        ];
    }

    public DemoOptions Options { get; }

    public DemoLayout Layout { get; }

    public IReadOnlyCollection<KitItem> Kit { get; }

    public DemoWorld World { get; }

    public WorldClockFile Clock { get; }

    public int HubPort { get; }

    public TimeProvider Machine => _run.Surroundings.Machine;

    public Uri HubAddress => new($"http://127.0.0.1:{HubPort}");

    public LinkRelay RidgeLink { get; }

    public ChildNode Hub { get; }

    public IReadOnlyList<ChildNode> Agents { get; }

    /// <summary>Sets the stage up: world, devices, hub, agents.</summary>
    public static async Task<DemoStage> SetUpAsync(CommandRun run, DemoOptions options)
    {
        var layout = new DemoLayout(options.Folder);
        if (Directory.Exists(layout.HubData))
        {
            throw CommandFault.BadInput($"{layout.Root} holds an earlier demo.", "Give another --data folder, or remove this one.");
        }

        string text = DemoTrip.Text();
        File.WriteAllText(layout.Trip, text);
        if (TripFileReader.Read(layout.Trip, text) is not TripRead trip)
        {
            throw new InvalidOperationException("The demo's own trip file is wrong.");
        }

        foreach (Drive drive in trip.Items.OfType<Drive>())
        {
            GiveRoom(Path.Combine(layout.Drives, DemoLayout.FolderName(drive.Id.Value)), drive, options.Seed);
        }

        var stage = new DemoStage(run, options, layout, trip.Items);
        try
        {
            stage.Hub.Start();
            await stage.WaitForHubAsync();
            foreach (ChildNode agent in stage.Agents)
            {
                agent.Start();
            }

            using HubClient hub = stage.Ask();
            await stage.WaitForMeetingAsync(hub, stage.Agents.Count, 0);
            return stage;
        }
        catch
        {
            await stage.DisposeAsync();
            throw;
        }
    }

    /// <summary>Waits until the hub answers; says what it said when it does not.</summary>
    public async Task WaitForHubAsync()
    {
        TimeProvider machine = _run.Surroundings.Machine;
        long began = machine.GetTimestamp();
        while (machine.GetElapsedTime(began) < TimeSpan.FromSeconds(60))
        {
            if (!Hub.IsRunning)
            {
                throw new InvalidOperationException($"The hub ended by itself. Its last words ({Hub.Log}):{Environment.NewLine}{Hub.LastWords()}");
            }

            try
            {
                using HubClient client = Ask();
                await client.StatusAsync();
                return;
            }
            catch (CommandFault silent) when (silent.Code == ExitCode.HubUnreachable && !_run.Stop.IsCancellationRequested)
            {
                await NapAsync(TimeSpan.FromMilliseconds(50));
            }
        }

        throw new InvalidOperationException($"The hub did not answer within a minute. Its last words ({Hub.Log}):{Environment.NewLine}{Hub.LastWords()}");
    }

    /// <summary>
    /// Waits until agents have met the hub again. World time stands meanwhile: a clock read over a link is good to half the
    /// round trip, and at the demo's speed a round trip of some milliseconds is an hour of the world.
    /// </summary>
    /// <param name="hub">The hub.</param>
    /// <param name="agents">How many agents meet it.</param>
    /// <param name="before">Clock pairs that it knew before.</param>
    public async Task WaitForMeetingAsync(HubClient hub, int agents, ulong before)
    {
        Clock.SetSpeed(0);
        long began = Machine.GetTimestamp();
        while (await ClockPairsAsync(hub) < before + (ulong)(agents * PairsOfAMeeting) && Machine.GetElapsedTime(began) < LongestMeeting)
        {
            await NapAsync(TimeSpan.FromMilliseconds(50));
        }
    }

    /// <summary>How many clock pairs the hub holds.</summary>
    public static async Task<ulong> ClockPairsAsync(HubClient hub) =>
        (await hub.StatusAsync()).Kinds.FirstOrDefault(kind => kind.Kind == "ClockPair")?.Count ?? 0;

    /// <summary>A client of the hub.</summary>
    public HubClient Ask() => new(HubAddress, _run.Surroundings.Machine, _run.Stop);

    /// <summary>Waits on machine time.</summary>
    public Task NapAsync(TimeSpan nap) => Task.Delay(nap, _run.Surroundings.Machine, _run.Stop);

    /// <summary>Lets world time run to a moment.</summary>
    /// <remarks>
    /// The world runs in strides a little longer than the power agent's polls, and after each waits until controller and
    /// thermometer were read since the last wait: on a busy machine the scenario takes longer instead of the agents seeing
    /// less. Two reads are then at most two strides apart, less than the time after which a thermometer counts as silent.
    /// </remarks>
    public async Task RunToAsync(Instant time, double speed)
    {
        while (Clock.Now < time)
        {
            Instant until = Instant.Min(time, Instant.Max(_seenUntil, Clock.Now - Stride) + Stride);
            Clock.RunUntil(until, speed);
            while (Clock.Now < until)
            {
                await NapAsync(ShortNap);
            }

            if (Clock.Now >= _seenUntil + Stride)
            {
                await WaitForReadersAsync();
            }

            ThrowWhenAgentEnded();
        }
    }

    private async Task WaitForReadersAsync()
    {
        long began = Machine.GetTimestamp();
        bool wasRead = !_thermometer.IsAble;
        while (Machine.GetElapsedTime(began) < LongestWait)
        {
            wasRead = _thermometer.WasRead() || wasRead;
            if (wasRead && _controller.Answered != _answered)
            {
                break;
            }

            await NapAsync(ShortNap);
        }

        _answered = _controller.Answered;
        _seenUntil = Clock.Now;
    }

    /// <summary>The phone's page drops what a team typed.</summary>
    public void Type(KitId bank)
    {
        IEnumerable<string> lines = World.Look(bank, Clock.Now, truth => TypedReadings.Of(truth).ToList());
        File.AppendAllLines(Path.Combine(Layout.Inbox, "evenings.jsonl"), lines);
    }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        foreach (ChildNode agent in Agents)
        {
            await agent.DisposeAsync();
        }

        await Hub.DisposeAsync();
        await RidgeLink.DisposeAsync();
        await _controller.DisposeAsync();
        _thermometer.Dispose();
        await _sysfsTimer.DisposeAsync();
        Clock.Dispose();
    }

    /// <summary>A folder that stands for a drive, no larger than the drive is, whatever disk it lies on.</summary>
    private static void GiveRoom(string folder, Drive drive, ulong seed)
    {
        var identity = new DriveIdentity(drive.Id, new SeededChance(seed, drive.Id.Value).Next().ToString("x16", CultureInfo.InvariantCulture)) { Room = (long)drive.Capacity.Value };
        Directory.CreateDirectory(Path.Combine(folder, DriveIdentity.Folder));
        File.WriteAllText(Path.Combine(folder, DriveIdentity.FilePath), identity.ToFile());
    }

    private static int FreePort()
    {
        using var probe = new TcpListener(IPAddress.Loopback, 0);
        probe.Start();
        return ((IPEndPoint)probe.LocalEndpoint).Port;
    }

    private ChildNode Node(string name, params string[] words) =>
        new(name, Layout.Logs, _run.Surroundings.Machine, [.. words, "--world-clock", Layout.Clock]);

    private void ThrowWhenAgentEnded()
    {
        if (Agents.FirstOrDefault(agent => !agent.IsRunning) is { } ended)
        {
            throw new InvalidOperationException($"An agent ended by itself. Its last words ({ended.Log}):{Environment.NewLine}{ended.LastWords()}");
        }
    }

    private void WriteSysfs()
    {
        // A write that is still going on is not overtaken.
        if (Interlocked.Exchange(ref _writing, 1) == 0)
        {
            World.Look(BaseBank, Clock.Now, bank =>
            {
                _sysfs.Write(bank, bank.Loads.Single(load => load.Declared.Id == Station));
                return 0;
            });
            Interlocked.Exchange(ref _writing, 0);
        }
    }
}
