using KitMesh.Hub.Days;
using KitMesh.Hub.Enrolment;
using KitMesh.Hub.Ingest;
using KitMesh.Hub.Seals;
using KitMesh.Hub.Views;
using KitMesh.Storage;
using KitMesh.Sync.Journal;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;

namespace KitMesh.Hub;

/// <summary>The parts of a hub that work before anybody listens.</summary>
/// <param name="Journal">The truth.</param>
/// <param name="Intake">The way in.</param>
/// <param name="View">What is derived.</param>
/// <param name="Keeper">The store.</param>
internal sealed record HubCore(IJournalWriter Journal, ReportIntake Intake, MergedView View, StoreKeeper Keeper)
{
    /// <summary>Opens journal and store, merges what is there, and declares the trip.</summary>
    public static async Task<HubCore> StartAsync(IServiceProvider services, CancellationToken cancellation)
    {
        HubOptions options = services.GetRequiredService<HubOptions>();
        ILogger<HubCore> log = services.GetRequiredService<ILogger<HubCore>>();
        Directory.CreateDirectory(options.DataFolder);
        IJournalWriter journal = services.GetRequiredService<IJournalWriter>();
        LogRecovery(log, journal.Recovery);
        StoreKeeper keeper = services.GetRequiredService<StoreKeeper>();
        MergedView view = services.GetRequiredService<MergedView>();
        StoreOpening? opening = await keeper.OpenOrWaitAsync().ConfigureAwait(false);
        services.GetRequiredService<RightsBook>().Forks = () => view.Now.State.Forks;
        await view.StartAsync(opening, cancellation).ConfigureAwait(false);
        if (services.GetService<HubIdentity>() is { } identity)
        {
            RightsBook rights = services.GetRequiredService<RightsBook>();
            identity.Self.IsRevoked = node => rights.Revoked.ContainsKey(node);
            await SelfEnrolment.ReportAsync(identity, rights, services.GetRequiredService<ReportIntake>(), cancellation).ConfigureAwait(false);
            services.GetRequiredService<SealKeeper>().Start();
        }

        if (options.TripFile is { } trip)
        {
            await services.GetRequiredService<KitIntake>().DeclareTripAsync(trip, cancellation).ConfigureAwait(false);
        }

        services.GetRequiredService<AlertView>().Start();
        services.GetRequiredService<SignOfLife>().Start();
        services.GetRequiredService<DayTeller>().Start();
        return new HubCore(journal, services.GetRequiredService<ReportIntake>(), view, keeper);
    }

    private static void LogRecovery(ILogger log, JournalRecovery recovery)
    {
        if (recovery.TailBytesCut > 0)
        {
            HubLog.JournalMended(log, $"{recovery.TailBytesCut} bytes after the last whole frame were cut off; nobody was told that they were safe.");
        }

        foreach (JournalDamage damage in recovery.Damage)
        {
            HubLog.JournalMended(log, $"{damage.File} is damaged at byte {damage.Offset}: {damage.Detail} Peers are asked to send again what it held.");
        }

        if (recovery.Pending is { } fault)
        {
            HubLog.JournalMended(log, $"the journal can only be read for now. {fault}");
        }
    }
}
