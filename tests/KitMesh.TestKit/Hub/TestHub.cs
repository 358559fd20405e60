using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Hub;
using Microsoft.Extensions.Logging;
using NodaTime;
using NodaTime.Testing;

namespace KitMesh.TestKit.Hub;

/// <summary>A real hub in this process, on a free port, with a folder of its own and a world clock that the test moves.</summary>
public sealed class TestHub : IAsyncDisposable
{
    private readonly bool _ownsFolder;

    private TestHub(HubApplication application, string folder, bool ownsFolder, FakeClock world)
    {
        Application = application;
        Folder = folder;
        World = world;
        _ownsFolder = ownsFolder;
    }

    public HubApplication Application { get; }

    public string Folder { get; }

    public FakeClock World { get; }

    public Uri Address => Application.Address;

    public static async Task<TestHub> StartAsync(
        string? folder = null,
        Func<HubOptions, HubOptions>? change = null,
        Instant? now = null,
        Action<ILoggingBuilder>? logging = null)
    {
        string own = folder ?? Directory.CreateTempSubdirectory("kitmesh-hub-").FullName;
        var world = new FakeClock(now ?? Instant.FromUtc(2027, 2, 14, 18, 0));
        var options = new HubOptions { DataFolder = own, Listen = new Uri("http://127.0.0.1:0"), Node = NodeId.Parse("base-camp"), PagePatience = TimeSpan.FromMinutes(2) };
        HubApplication application = await HubApplication.StartAsync(
            change?.Invoke(options) ?? options,
            new HubClocks(world, TimeProvider.System, new WorldDeviceClock(world)),
            logging,
            default);
        return new TestHub(application, own, folder is null, world);
    }

    /// <summary>Waits until something is so, which a hub's own threads bring about.</summary>
    /// <param name="isSo">What is looked at again and again; it fails the test when it is not so within five minutes.</param>
    public static async Task UntilAsync(Func<bool> isSo)
    {
        using var patience = new CancellationTokenSource(TimeSpan.FromMinutes(5));
        using var look = new PeriodicTimer(TimeSpan.FromMilliseconds(50));
        while (!isSo())
        {
            await look.WaitForNextTickAsync(patience.Token);
        }
    }

    /// <summary>How many sequences of an origin its journal holds.</summary>
    /// <param name="origin">The origin.</param>
    public ulong Held(OriginId origin) => Application.Core.Journal.Have(origin)?.Ranges.Numbers ?? 0;

    public async ValueTask DisposeAsync()
    {
        await Application.DisposeAsync();
        if (_ownsFolder)
        {
            Directory.Delete(Folder, recursive: true);
        }
    }

    /// <summary>A device clock that goes with the world clock, whose boot began an hour before the test.</summary>
    private sealed class WorldDeviceClock(FakeClock world) : IDeviceClock
    {
        private readonly Instant _boot = world.GetCurrentInstant() - Duration.FromHours(1);

        public ClockTrust Trust => ClockTrust.PersonSet;

        public DeviceTime Read()
        {
            Instant now = world.GetCurrentInstant();
            return new DeviceTime(now, new BootId((ulong)_boot.ToUnixTimeTicks()), (now - _boot).ToInt64Nanoseconds());
        }
    }
}
