using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Hub.Links;

/// <summary>How a link that this hub dials stands.</summary>
/// <param name="Peer">Who answers; null while nobody does.</param>
/// <param name="Words">Why it does not stand; empty when it does.</param>
/// <param name="Since">Since when, in world time.</param>
internal sealed record LinkStand(NodeId? Peer, string Words, Instant Since);
