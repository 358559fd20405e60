namespace KitMesh.Hub.Pages;

/// <summary>What the page "Kit" shows.</summary>
/// <param name="Head">The top of the page.</param>
/// <param name="Nodes">When each node was heard, and how it does.</param>
/// <param name="Packs">The newest reading of each pack.</param>
/// <param name="Loads">The newest reading of each device that must be charged.</param>
/// <param name="Thermometers">The newest reading of each thermometer outside packs.</param>
/// <param name="Panels">The newest reading of each panel.</param>
/// <param name="Places">Where each thing that was ever placed is.</param>
/// <param name="Faults">Readers that have a fault now.</param>
/// <param name="Links">Links to other hubs, and how they stand.</param>
/// <param name="Teams">The newest own news of each team.</param>
/// <param name="Way">Whether the reader can let a phone join.</param>
/// <param name="Invite">An invitation that was just asked for.</param>
public sealed record KitModel(
    PageHead Head,
    IReadOnlyList<NodeRow> Nodes,
    IReadOnlyList<ReadingRow> Packs,
    IReadOnlyList<ReadingRow> Loads,
    IReadOnlyList<ReadingRow> Thermometers,
    IReadOnlyList<ReadingRow> Panels,
    IReadOnlyList<PlaceRow> Places,
    IReadOnlyList<ReadingRow> Faults,
    IReadOnlyList<ReadingRow> Links,
    IReadOnlyList<ReadingRow> Teams,
    JoinWay Way = JoinWay.OnlyThisMachine,
    InviteMade? Invite = null);
