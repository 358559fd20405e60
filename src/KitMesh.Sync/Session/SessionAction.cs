using KitMesh.Domain;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;

namespace KitMesh.Sync.Session;

/// <summary>What a session asks its host to do next. The set is closed.</summary>
public abstract record SessionAction
{
    private SessionAction()
    {
    }

    /// <summary>Send a frame. Take the next action only when this one is on its way: that is the back-pressure.</summary>
    /// <param name="Frame">The frame.</param>
    public sealed record Send(SessionFrame Frame) : SessionAction;

    /// <summary>Append reports to the journal, then call <see cref="ExchangeSession.Appended"/>. The session goes on meanwhile.</summary>
    /// <param name="Ticket">Names the append.</param>
    /// <param name="Reports">The reports, of one origin, ascending.</param>
    public sealed record Append(long Ticket, IReadOnlyList<RawReport> Reports) : SessionAction;

    /// <summary>Write a report of this node's own.</summary>
    /// <param name="Body">The fact: a clock pair.</param>
    public sealed record WriteOwn(ReportBody Body) : SessionAction;

    /// <summary>A hub holds this node's own reports up to a sequence: tell the journal that they are acknowledged.</summary>
    /// <param name="Origin">This node's origin, of the present or an older epoch.</param>
    /// <param name="UpTo">The end of the run from 1.</param>
    public sealed record Acknowledged(OriginId Origin, ulong UpTo) : SessionAction;

    /// <summary>The peer holds more of this node's own origin than this node, or other reports: open a new epoch before the next session.</summary>
    /// <param name="Words">What was found.</param>
    public sealed record OpenEpoch(string Words) : SessionAction;

    /// <summary>The peer said who it is.</summary>
    /// <param name="Peer">Its hello. Its hybrid time should go into this node's hybrid clock.</param>
    public sealed record PeerKnown(HelloFrame Peer) : SessionAction;

    /// <summary>A key stood already with other content; both are kept. That is an alert.</summary>
    /// <param name="Keys">The keys.</param>
    public sealed record ForksKept(ValueList<ReportKey> Keys) : SessionAction;

    /// <summary>Both sides had nothing more to send and compared.</summary>
    /// <param name="SameHoldings">Whether both hold the same reports.</param>
    /// <param name="SameState">Whether both derive the same state; null when they cannot compare.</param>
    public sealed record Compared(bool SameHoldings, bool? SameState) : SessionAction;

    /// <summary>Something odd that does not end the session.</summary>
    /// <param name="Words">What, for a log.</param>
    public sealed record Odd(string Words) : SessionAction;

    /// <summary>The session has ended: close the stream and drop the session. Nothing comes after this.</summary>
    /// <param name="Reason">Why.</param>
    /// <param name="Words">The same for a person.</param>
    /// <param name="ByPeer">Whether the peer ended it.</param>
    public sealed record Closed(ByeReason Reason, string Words, bool ByPeer) : SessionAction;
}
