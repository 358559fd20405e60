using System.Collections.Concurrent;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.Reports;
using KitMesh.Sync.Session;
using KitMesh.TripFile;
using Microsoft.Extensions.Logging;
using NodaTime;

namespace KitMesh.Hub.Links;

/// <summary>The links of this hub: those of the command line, and those that the trip file declares with their budgets.</summary>
internal sealed class LinkBook(HubOptions options, HubClocks clocks, ILogger<LinkBook> log)
{
    private readonly LinkMeterFile _file = new(options.DataFolder);
    private readonly ConcurrentDictionary<NodeId, LinkMeter> _meters = new();
    private readonly ConcurrentDictionary<Uri, LinkStand> _stands = new();
    private IReadOnlyList<HubLink> _links = [];

    /// <summary>The hubs to dial; a link of the trip file comes with it.</summary>
    public IEnumerable<(Uri Hub, HubLink? Link)> Dials =>
    [
        .. _links.Where(link => link.From == options.Node).Select(link => (link.Address, (HubLink?)link)),
        .. options.Hubs.Where(hub => !_links.Any(link => link.From == options.Node && link.Address == hub)).Select(hub => (hub, (HubLink?)null)),
    ];

    /// <summary>The links of the trip file that begin or end here.</summary>
    public IReadOnlyList<HubLink> Declared => _links;

    /// <summary>Takes the links of a trip file that concern this hub.</summary>
    /// <exception cref="HubStartException">A link cannot be dialled from here.</exception>
    public void Take(string file, TripRead trip)
    {
        _links = [.. trip.Links.Where(link => link.From == options.Node || link.To == options.Node)];
        IReadOnlyList<string> problems = HubOptionsCheck.Problems(options with { Origin = file, Hubs = [.. Dials.Select(dial => dial.Hub)] });
        if (problems.Count > 0)
        {
            throw new HubStartException(string.Join(Environment.NewLine, problems));
        }

        IReadOnlyDictionary<NodeId, LinkMeterFile.Entry> before = _file.Read();
        foreach (HubLink link in _links.Where(link => link.BytesPerDay is not null))
        {
            NodeId peer = link.From == options.Node ? link.To : link.From;
            var meter = new LinkMeter(peer, link.BytesPerDay!.Value, clocks.World) { Zone = trip.Items.OfType<Trip>().Single().ZoneOffset };
            meter.Spent += () => HubLog.BudgetSpent(log, peer, meter.BudgetBytes);
            if (before.TryGetValue(peer, out LinkMeterFile.Entry? entry))
            {
                meter.GoOn(entry.Day, entry.Bytes);
            }

            _meters[peer] = meter;
        }
    }

    /// <summary>How a link that this hub dials stands; null before the first attempt ended.</summary>
    public LinkStand? StandOf(Uri hub) => _stands.GetValueOrDefault(hub);

    /// <summary>Notes that a hub answers.</summary>
    public void NoteUp(Uri hub, NodeId peer) => _stands[hub] = new LinkStand(peer, "", clocks.World.GetCurrentInstant());

    /// <summary>Notes that none does. A link that was down already keeps since when.</summary>
    public void NoteDown(Uri hub, string words)
    {
        Instant now = clocks.World.GetCurrentInstant();
        _stands.AddOrUpdate(hub, _ => new LinkStand(null, words, now), (_, before) => new LinkStand(null, words, before.Peer is null ? before.Since : now));
    }

    /// <summary>What counts the link to a hub; null without a budget.</summary>
    public LinkMeter? MeterOf(NodeId peer) => _meters.GetValueOrDefault(peer);

    /// <summary>What holds on the link to a hub; null when it is a good one.</summary>
    public LinkTerms? TermsOf(NodeId peer) =>
        _links.FirstOrDefault(link => link.Joins(options.Node, peer)) is { IsThin: true } ? new LinkTerms(ReportUrgency.IsUrgent, MeterOf(peer)) : null;

    /// <summary>Keeps the day's counts, so that a hub that is on for an hour at a time does not begin its budget anew each time.</summary>
    public void Save()
    {
        if (!_meters.IsEmpty)
        {
            _file.Write(_meters.Values.Select(meter => new LinkMeterFile.Entry(meter.Peer.Value, meter.Today.Day, meter.Today.Bytes)));
        }
    }
}
