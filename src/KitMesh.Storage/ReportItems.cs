using KitMesh.Domain.Reports;
using KitMesh.Storage.Segments;

namespace KitMesh.Storage;

/// <summary>Which things a report names.</summary>
internal static class ReportItems
{
    /// <summary>The things, most important first; none for a kind that cannot be read.</summary>
    public static IEnumerable<KitId> Of(ReportBody body) => body switch
    {
        BatteryReading battery => [battery.Pack],
        TemperatureReading thermometer => [thermometer.Subject],
        PanelReading panel => [panel.Panel],
        LoadReading load => [load.Load],
        CardSeen card => Known(card.Card, card.Source),
        ClipFound clip => Known(clip.Card, clip.Source),
        CopyMade copy => [copy.Drive],
        CopyVerified copy => [copy.Drive],
        CopyFailed copy => Known(copy.Drive),
        CardFormatted card => [card.Card],
        CardReleased card => Known(card.Card),
        DriveState drive => [drive.Drive],
        KitDeclared kit => [kit.Item.Id],
        KitPlaced placed => Known(placed.Item, placed.Into),
        Note note => Known(note.Subject),
        ReaderFault fault => Known(fault.Subject),
        AlertChanged alert => [alert.Subject],
        AgentState agent => Named(agent.Node),
        ClockPair pair => Named(pair.Subject),
        NodeEnrolled enrolled => Named(enrolled.Node),
        NodeRevoked revoked => Named(revoked.Node),
        DayRolledUp day => [day.Item],
        TakenDirectly taken => Named(taken.Origin.Node),
        _ => [],
    };

    /// <summary>A bit for each thing named; readings, which come by the million, without a detour.</summary>
    public static ulong BitsOf(ReportBody body) => body switch
    {
        BatteryReading battery => SegmentInfo.BitOf(battery.Pack),
        TemperatureReading thermometer => SegmentInfo.BitOf(thermometer.Subject),
        PanelReading panel => SegmentInfo.BitOf(panel.Panel),
        LoadReading load => SegmentInfo.BitOf(load.Load),
        _ => Of(body).Aggregate(0UL, (bits, item) => bits | SegmentInfo.BitOf(item)),
    };

    /// <summary>Whether a report names a thing.</summary>
    public static bool Names(ReportBody body, KitId item) => Of(body).Contains(item);

    private static IEnumerable<KitId> Known(params IEnumerable<KitId?> items) => items.OfType<KitId>();

    private static IEnumerable<KitId> Named(NodeId node) => KitId.TryParse(node.Value, out KitId id) ? [id] : [];
}
