using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Domain.State;
using KitMesh.Hub.Links;
using NodaTime;

namespace KitMesh.Hub.Pages;

/// <summary>What the page "Kit" says of links to other hubs.</summary>
internal static class LinkWords
{
    /// <summary>One row a link: how it stands, what it may carry, and how old the other hub's own news is.</summary>
    /// <param name="book">The links.</param>
    /// <param name="node">This hub.</param>
    /// <param name="state">The merged state.</param>
    /// <param name="head">The head of the page.</param>
    public static IReadOnlyList<ReadingRow> Of(LinkBook book, NodeId node, TripState state, PageHead head) =>
    [
        .. book.Dials.Select(dial => Dialled(dial.Hub, dial.Link, book, state, head)),
        .. book.Declared.Where(link => link.To == node).Select(link => Row(link.From, link.From.Value, "dials this hub" + Terms(link, link.From, book), state, head)),
    ];

    private static ReadingRow Dialled(Uri hub, HubLink? link, LinkBook book, TripState state, PageHead head)
    {
        LinkStand? stand = book.StandOf(hub);
        NodeId? peer = stand?.Peer ?? link?.To;
        string words = stand switch
        {
            null => "? not dialled yet",
            { Peer: not null } => $"✓ stands since {PageText.Moment(stand.Since, head.Zone)}",
            _ => $"✗ down since {PageText.Moment(stand.Since, head.Zone)}: {stand.Words.TrimEnd('.')}; reports are kept and passed on later",
        };
        return Row(peer, peer is { } name ? $"{name} at {hub.Authority}" : hub.Authority, words + Terms(link, peer, book), state, head);
    }

    private static string Terms(HubLink? link, NodeId? peer, LinkBook book)
    {
        string words = link is { IsThin: true } ? "; a thin link, what is urgent first" : "";
        return peer is { } name && book.MeterOf(name) is { } meter
            ? $"{words}; {PageText.Whole(meter.Today.Bytes)} of {PageText.Whole(meter.BudgetBytes)} bytes of today, {(meter.HasRoom ? meter.HasRoomForReadings ? "everything passes" : "only what is urgent passes" : "nothing passes until tomorrow")}"
            : words;
    }

    private static ReadingRow Row(NodeId? peer, string name, string words, TripState state, PageHead head) => new(
        name,
        words,
        peer is { } known && state.Nodes.TryGetValue(known, out NodeSeen? seen) ? $"its own news: {PageText.Age(head.AsOf - seen.LastHeard)}" : "never heard itself");
}
