using KitMesh.Cli.Asking;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.State;
using KitMesh.Hub.Hindsight;
using NodaTime;

namespace KitMesh.Cli.Running;

/// <summary>Every report that a hub holds, from its data folder or over the wire, with their fold.</summary>
internal sealed class HeldReports : IDisposable
{
    private readonly DataFolder? _folder;
    private readonly List<ContentReport>? _fetched;

    private HeldReports(DataFolder? folder, List<ContentReport>? fetched, StateEngine engine)
    {
        _folder = folder;
        _fetched = fetched;
        Engine = engine;
    }

    /// <summary>The fold, with the times that hold.</summary>
    public StateEngine Engine { get; }

    /// <summary>The reports.</summary>
    public IEnumerable<ContentReport> All => _fetched ?? _folder!.Reports();

    /// <summary>From a folder of a stopped hub, or a running hub.</summary>
    /// <param name="run">The run.</param>
    /// <param name="folder">The folder; null to ask the hub.</param>
    /// <param name="hub">The hub.</param>
    public static async Task<HeldReports> OpenAsync(CommandRun run, DirectoryInfo? folder, Uri hub)
    {
        if (folder is not null)
        {
            DataFolder data = DataFolder.Open(run, folder);
            try
            {
                return new HeldReports(data, null, data.Fold(run.Stop));
            }
            catch
            {
                data.Dispose();
                throw;
            }
        }

        using var client = new HubClient(hub, run.Surroundings.Machine, run.Stop, run.IdentityFolder);
        List<ContentReport> fetched = await ReportPagesReader.AllAsync(client, run.Talk);
        var engine = new StateEngine(() => fetched);
        foreach (ContentReport entry in fetched)
        {
            engine.Add(entry.Report, entry.Content);
        }

        return new HeldReports(null, fetched, engine);
    }

    /// <summary>
    /// The reports by the time of writing, as if each had reached the hub at once: so the same reports tell the same, whoever holds them. The kit comes first, because a trip
    /// file is often handed in late.
    /// </summary>
    public IReadOnlyList<KnownReport> ByTime() =>
    [
        .. All
            .Select(entry => new KnownReport(entry.Report.Body is KitDeclared ? Instant.MinValue : Engine.Retiming.Time(entry.Report).Time, entry))
            .OrderBy(known => known.Known),
    ];

    /// <summary>The one trip that is declared.</summary>
    /// <exception cref="CommandFault">None is, or several are.</exception>
    public Trip OneTrip()
    {
        Trip[] trips = [.. Engine.State.KitOf<Trip>()];
        return trips switch
        {
            [var one] when one.LastDay >= one.FirstDay => one,
            [var odd] => throw CommandFault.BadInput($"\"{odd.Id}\" ends before it begins.", "Mend firstDay and lastDay in the trip file and hand it to the hub."),
            [] => throw CommandFault.BadInput("No trip is declared in these reports.", "Hand the trip file to the hub once: kitmesh hub --trip trip.yaml"),
            _ => throw CommandFault.BadInput($"{trips.Length} trips are declared: {string.Join(", ", trips.Select(trip => trip.Id))}.", "One trip, one data folder."),
        };
    }

    /// <inheritdoc/>
    public void Dispose() => _folder?.Dispose();
}
