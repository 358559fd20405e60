using KitMesh.Disk;
using KitMesh.Hub.Days;
using KitMesh.Hub.Enrolment;
using KitMesh.Hub.Grpc;
using KitMesh.Hub.Ingest;
using KitMesh.Hub.Links;
using KitMesh.Hub.Listening;
using KitMesh.Hub.Telemetry;
using KitMesh.Hub.Views;
using KitMesh.Storage;
using KitMesh.Sync.Journal;
using Microsoft.AspNetCore.Builder;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;

namespace KitMesh.Hub;

/// <summary>A running hub inside this process: the command starts it, and so do tests.</summary>
public sealed class HubApplication : IAsyncDisposable
{
    private readonly WebApplication _web;
    private readonly HubCore _core;
    private int _disposed;

    private HubApplication(WebApplication web, HubCore core)
    {
        _web = web;
        _core = core;
        Address = HubListening.AddressOf(web);
    }

    /// <summary>Where pages, JSON and gRPC answer, with the real port.</summary>
    public Uri Address { get; }

    /// <summary>Commits of the journal so far.</summary>
    public long JournalCommits => _core.Journal.Commits;

    /// <summary>Reports that are on disk here.</summary>
    public ulong ReportsHeld
    {
        get
        {
            ulong sum = 0;
            foreach (OriginHolding holding in _core.Journal.Have())
            {
                sum += holding.Kept.Numbers;
            }

            return sum;
        }
    }

    /// <summary>What the hub is made of, for tests in this house.</summary>
    internal HubCore Core => _core;

    /// <summary>Sessions that run now, for tests in this house.</summary>
    internal int Sessions => _web.Services.GetRequiredService<SessionHost>().Sessions;

    /// <summary>The alerts that it finds, for tests in this house.</summary>
    internal AlertView Alerts => _web.Services.GetRequiredService<AlertView>();

    /// <summary>What tells its days, for tests in this house.</summary>
    internal DayTeller Days => _web.Services.GetRequiredService<DayTeller>();

    /// <summary>Its links to other hubs, for tests in this house.</summary>
    internal LinkBook Links => _web.Services.GetRequiredService<LinkBook>();

    /// <summary>Starts a hub. When this returns, it answers, and what its journal holds is merged.</summary>
    /// <param name="options">How it runs.</param>
    /// <param name="clocks">Its clocks.</param>
    /// <param name="logging">Where it tells what it does; null for nowhere.</param>
    /// <param name="cancellation">Gives up starting.</param>
    /// <exception cref="HubOptionsException">The options are wrong.</exception>
    /// <exception cref="HubStartException">The data folder or the trip file cannot be used.</exception>
    public static Task<HubApplication> StartAsync(
        HubOptions options,
        HubClocks clocks,
        Action<ILoggingBuilder>? logging,
        CancellationToken cancellation) => StartAsync(options, clocks, logging, new PhysicalDisk(), cancellation);

    /// <summary>The same, on a disk that a test hands in.</summary>
    internal static async Task<HubApplication> StartAsync(
        HubOptions options,
        HubClocks clocks,
        Action<ILoggingBuilder>? logging,
        IDisk disk,
        CancellationToken cancellation)
    {
        IReadOnlyList<string> problems = HubOptionsCheck.Problems(options);
        if (problems.Count > 0)
        {
            throw new HubOptionsException(problems);
        }

        WebApplicationBuilder builder = WebApplication.CreateSlimBuilder(new WebApplicationOptions
        {
            ApplicationName = typeof(HubApplication).Assembly.GetName().Name,
            ContentRootPath = AppContext.BaseDirectory,
        });
        builder.Configuration.Sources.Clear();
        builder.Logging.ClearProviders();
        builder.Logging.AddFilter("Microsoft", LogLevel.Warning);
        builder.Logging.AddFilter("Microsoft.AspNetCore.DataProtection", LogLevel.Error); // Its keys live in memory only.
        builder.Logging.AddFilter("Microsoft.Extensions.Hosting", LogLevel.None); // What it would tell is thrown as well.
        logging?.Invoke(builder.Logging);
        HubIdentity? identity = OpenIdentity(options, clocks, out bool isNewRoot);
        HubServices.Add(builder.Services, options, clocks, disk, identity);
        HubListening.Configure(builder.WebHost, options, identity);
        WebApplication web = builder.Build();
        HubServices.Map(web);
        try
        {
            HubCore core = await HubCore.StartAsync(web.Services, cancellation).ConfigureAwait(false);

            if (identity is not null)
            {
                // The journal's lock is held: a socket that is there is a dead hub's.
                File.Delete(new HubIdentityFolder(options.DataFolder).Socket);
            }

            _ = web.Services.GetRequiredService<HubGauges>();
            await web.StartAsync(cancellation).ConfigureAwait(false);
            var application = new HubApplication(web, core);
            web.Services.GetRequiredService<BoundAddress>().Port = application.Address.Port;
            web.Services.GetRequiredService<HubLinks>().Start();
            if (isNewRoot)
            {
                EnrolLog.MakeSpare(web.Services.GetRequiredService<ILogger<HubApplication>>(), options.DataFolder);
            }

            HubLog.Listening(web.Services.GetRequiredService<ILogger<HubApplication>>(), application.Address, options.DataFolder);
            return application;
        }
        catch (Exception failure)
        {
            await web.DisposeAsync().ConfigureAwait(false);
            throw failure is StoreLockedException or StoreFaultedException ? new HubStartException(failure.Message, failure) : failure;
        }
    }

    private static HubIdentity? OpenIdentity(HubOptions options, HubClocks clocks, out bool isNewRoot)
    {
        isNewRoot = false;
        if (!options.AsksWho)
        {
            return null;
        }

        var folder = new HubIdentityFolder(options.DataFolder);
        isNewRoot = !folder.HasRoot;
        try
        {
            return HubIdentity.Open(folder, options.Node, HubAddresses.Of(options.Listen), clocks.World.GetCurrentInstant());
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException)
        {
            throw new HubStartException($"The identity in {folder.Location} cannot be written: {failure.Message}", failure);
        }
    }

    /// <summary>Ends when somebody asked the hub to stop.</summary>
    /// <param name="cancellation">Asks it to stop.</param>
    public Task WaitForStopAsync(CancellationToken cancellation) => _web.WaitForShutdownAsync(cancellation);

    /// <summary>Completes when everything that is durable now is merged and stored.</summary>
    /// <param name="cancellation">Gives up waiting.</param>
    public Task WhenCaughtUpAsync(CancellationToken cancellation) => _core.View.WhenCaughtUpAsync(cancellation);

    /// <summary>Whether the hub works: what is durable gets merged, or at least more of it than at the last question.</summary>
    /// <param name="patience">How long the merging of all that waits may take.</param>
    /// <param name="machine">Machine time.</param>
    /// <param name="cancellation">Gives up asking.</param>
    public async Task<bool> IsMovingAsync(TimeSpan patience, TimeProvider machine, CancellationToken cancellation)
    {
        long before = _core.View.Now.Version;
        try
        {
            await _core.View.WhenCaughtUpAsync(cancellation).WaitAsync(patience, machine, cancellation).ConfigureAwait(false);
            return true;
        }
        catch (TimeoutException)
        {
            return _core.View.Now.Version != before;
        }
    }

    /// <summary>Stops answering, then closes store and journal cleanly.</summary>
    public async ValueTask DisposeAsync()
    {
        if (Interlocked.Exchange(ref _disposed, 1) == 0)
        {
            await _web.StopAsync().ConfigureAwait(false);
            await _web.DisposeAsync().ConfigureAwait(false);
        }
    }
}
