using System.Diagnostics.CodeAnalysis;
using KitMesh.Agent.Guard;
using KitMesh.Agent.Identity;
using KitMesh.Agent.Link;
using KitMesh.Agent.Options;
using KitMesh.Agent.Outbox;
using KitMesh.Agent.Supervision;
using KitMesh.Disk;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Protocol.Certificates;
using KitMesh.Protocol.Reports;
using KitMesh.Sync.Journal;
using KitMesh.Sync.Seals;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using NodaTime;

namespace KitMesh.Agent;

/// <summary>A running agent inside this process: the command starts it, and so do tests.</summary>
public sealed class AgentHost : IAsyncDisposable
{
    private readonly IHost _host;
    private readonly JournalWriter _journal;
    private readonly PackGuard _guard;
    private readonly HubProgress _progress;
    private readonly IdentityCare? _identity;

    private readonly IReadOnlyList<BackgroundService> _services;

    private AgentHost(
        IHost host,
        IReadOnlyList<BackgroundService> services,
        JournalWriter journal,
        AgentCounters counters,
        PackGuard guard,
        HubProgress progress,
        IdentityCare? identity)
    {
        _host = host;
        _services = services;
        _journal = journal;
        Counters = counters;
        _guard = guard;
        _progress = progress;
        _identity = identity;
    }

    /// <summary>What it costs to run.</summary>
    public AgentCounters Counters { get; }

    /// <summary>The origin that it writes.</summary>
    public OriginId Own => _journal.Own;

    /// <summary>The journal, to look into.</summary>
    public IJournalView Journal => _journal;

    /// <summary>Reports that no hub is known to hold.</summary>
    public long ReportsWaiting => _progress.Waiting(_journal);

    /// <summary>What opening the journal found and mended.</summary>
    public JournalRecovery Recovery => _journal.Recovery;

    /// <summary>The guard's alerts that stand.</summary>
    public IReadOnlyList<Alert> Standing => _guard.Standing;

    /// <summary>Opens the journal and makes the agent; nothing runs before <see cref="StartAsync"/>.</summary>
    /// <param name="options">What the agent file says.</param>
    /// <param name="surroundings">Clocks and randomness.</param>
    /// <param name="why">Why there is no agent, with the mend: a folder in use, a newer format, a disk that fails, no identity.</param>
    /// <returns>The agent; null when it cannot start.</returns>
    public static AgentHost? Open(AgentOptions options, AgentSurroundings surroundings, out string? why)
    {
        ArgumentNullException.ThrowIfNull(options);
        ArgumentNullException.ThrowIfNull(surroundings);
        IdentityCare? identity = null;
        if (options.IdentityFolder is { } path && !TryLoad(path, options.Node, surroundings, out identity, out why))
        {
            return null;
        }

        var disk = new PhysicalDisk();
        var journalOptions = new JournalOptions
        {
            Folder = Path.Combine(options.DataFolder, "journal"),
            Node = options.Node,
            DropAcknowledged = true,
            KeepAfterAcknowledgement = Duration.FromTimeSpan(options.KeepAcknowledged),
            SegmentBytes = 1 << 20,
        };
        Directory.CreateDirectory(options.DataFolder);
        JournalOpening opening = Sync.Journal.Journal.Open(disk, journalOptions, surroundings.DrawId(), surroundings.DrawId());
        if (opening is not JournalOpening.Opened opened)
        {
            identity?.Dispose();
            why = $"the journal cannot be opened: {opening} One folder belongs to one agent; stop the other one, or give another \"data\" in the agent file.";
            return null;
        }

        why = null;
        var clock = new AgentClock(surroundings.Clock);
        var journal = new JournalWriter(opened.Journal, journalOptions, surroundings.MachineTime, clock);
        return Assemble(options, surroundings, clock, journal, disk, identity);
    }

    /// <summary>Starts readers, guard and link.</summary>
    /// <param name="stop">Gives up starting.</param>
    public Task StartAsync(CancellationToken stop) => _host.StartAsync(stop);

    /// <summary>Ends when the agent was stopped.</summary>
    /// <param name="stop">Asks it to stop.</param>
    /// <remarks>Throws what broke when a part of the agent broke: then it stopped by itself.</remarks>
    public async Task WaitForStopAsync(CancellationToken stop)
    {
        await _host.WaitForShutdownAsync(stop).ConfigureAwait(false);
        foreach (BackgroundService service in _services)
        {
            if (service.ExecuteTask is { IsFaulted: true } broken)
            {
                await broken.ConfigureAwait(false);
            }
        }
    }

    /// <summary>Stops the readers, writes what they left, and closes the journal.</summary>
    public async ValueTask DisposeAsync()
    {
        await _host.StopAsync().ConfigureAwait(false);
        _host.Dispose();
        await _journal.DisposeAsync().ConfigureAwait(false);
        _identity?.Dispose();
    }

    private static bool TryLoad(string path, NodeId node, AgentSurroundings surroundings, out IdentityCare? care, [NotNullWhen(false)] out string? why)
    {
        care = null;
        var folder = new IdentityFolder(path);
        if (!folder.TryLoad(out NodeIdentity? identity, out why))
        {
            return false;
        }

        if (identity.Member.Node != node)
        {
            why = $"this device was enrolled as {identity.Member.Node}, not {node}. Write node: {identity.Member.Node} in the agent file.";
            identity.Dispose();
            return false;
        }

        care = new IdentityCare(folder, identity, surroundings.MachineTime);
        return true;
    }

    private static AgentHost Assemble(AgentOptions options, AgentSurroundings surroundings, AgentClock clock, JournalWriter journal, IDisk disk, IdentityCare? identity)
    {
        var counters = new AgentCounters();
        var guard = new PackGuard(options.Packs);
        var progress = new HubProgress();
        var outbox = new ReportOutbox(journal, clock, counters, surroundings, options.SendWait, options.Queue);
        var intake = new SampleIntake(outbox, guard, new Deadbands(options.Deadbands), clock, counters, surroundings);
        var parts = new LinkParts(options, surroundings, clock, counters, journal, outbox, progress)
        {
            Identity = identity,
            Seals = identity is null ? null : new OwnSeals(journal, new CertificateSigner(() => identity.Identity), ReportCodec.Decode),
        };

        HostApplicationBuilder builder = Host.CreateEmptyApplicationBuilder(new HostApplicationBuilderSettings { DisableDefaults = true });
        builder.Logging.ClearProviders();

        // Stopped in the opposite order: readers first, then their outbox takes what they left.
        BackgroundService[] services =
        [
            outbox,
            new HubLink(parts),
            new StateReporter(options, surroundings, counters, intake, outbox, journal, progress, disk),
            new ReaderSupervisor(options, surroundings, counters, intake),
        ];
        foreach (BackgroundService service in services)
        {
            builder.Services.AddSingleton<IHostedService>(service);
        }

        builder.Services.AddSingleton<IHostLifetime, QuietLifetime>();
        return new AgentHost(builder.Build(), services, journal, counters, guard, progress, identity);
    }
}
