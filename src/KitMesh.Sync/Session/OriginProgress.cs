using KitMesh.Domain.Exchange;

namespace KitMesh.Sync.Session;

/// <summary>How far a peer is with one origin, as far as it said itself.</summary>
internal sealed class OriginProgress
{
    /// <summary>What the peer said that it has.</summary>
    public SequenceRanges PeerHas { get; set; } = SequenceRanges.Empty;

    /// <summary>What was sent since its hello.</summary>
    public SequenceRanges Sent { get; set; } = SequenceRanges.Empty;

    /// <summary>What this side said that it has.</summary>
    public SequenceRanges Told { get; set; } = SequenceRanges.Empty;

    /// <summary>The run from 1 that was last passed on as acknowledged.</summary>
    public ulong Acknowledged { get; set; }

    /// <summary>Whether something sent has not been answered.</summary>
    public bool Awaits => !Sent.Except(PeerHas).IsEmpty;
}
