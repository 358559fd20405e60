using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;

namespace KitMesh.Agent.Options;

/// <summary>What the agent file says. The ranges and defaults stand in docs/operating.md and are checked by <see cref="AgentFile"/>.</summary>
/// <param name="Node">The agent's name in the mesh.</param>
/// <param name="DataFolder">Where the journal and the readers' memories are.</param>
/// <param name="Hubs">Addresses of hubs, tried in this order; empty for an agent that only journals.</param>
/// <param name="StateEvery">How often the agent reports its own state.</param>
/// <param name="SendWait">How long a reading may wait for others, so that one wake-up of the radio sends many.</param>
/// <param name="Linger">How long a session without anything to say is kept open before the radio sleeps.</param>
/// <param name="KeepAcknowledged">How long acknowledged segments are kept, for a hub that lost its disk.</param>
/// <param name="Queue">Most samples that wait for the journal.</param>
/// <param name="Self">The load that this device is itself, so that its own charge is part of its state; null when it has none.</param>
/// <param name="Deadbands">How much a value must move before it is reported again.</param>
/// <param name="Packs">The packs that the guard watches, hub or no hub.</param>
/// <param name="Readers">The readers.</param>
public sealed record AgentOptions(
    NodeId Node,
    string DataFolder,
    IReadOnlyList<Uri> Hubs,
    TimeSpan StateEvery,
    TimeSpan SendWait,
    TimeSpan Linger,
    TimeSpan KeepAcknowledged,
    int Queue,
    KitId? Self,
    DeadbandOptions Deadbands,
    IReadOnlyList<Pack> Packs,
    IReadOnlyList<ReaderOptions> Readers)
{
    /// <summary>The folder that <c>kitmesh enrol</c> filled; null for an agent that dials loopback only.</summary>
    public string? IdentityFolder { get; init; }
}
