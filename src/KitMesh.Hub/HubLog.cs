using KitMesh.Domain.Reports;
using Microsoft.Extensions.Logging;

namespace KitMesh.Hub;

/// <summary>Every message that a hub logs.</summary>
internal static partial class HubLog
{
    [LoggerMessage(1, LogLevel.Information, "Listening on {Address}; data in {Folder}.")]
    public static partial void Listening(ILogger log, Uri address, string folder);

    [LoggerMessage(2, LogLevel.Warning, "{Reason}")]
    public static partial void StoreDiscarded(ILogger log, string reason);

    [LoggerMessage(3, LogLevel.Error, "{Message} A new store is opened.")]
    public static partial void StoreFaulted(ILogger log, string message);

    [LoggerMessage(4, LogLevel.Error, "The store cannot be opened: {Message} Reports are still taken and kept in the journal. Tried again in {Seconds} s.")]
    public static partial void StoreUnavailable(ILogger log, string message, int seconds);

    [LoggerMessage(5, LogLevel.Information, "Session with {Peer} begins.")]
    public static partial void SessionBegins(ILogger log, NodeId peer);

    [LoggerMessage(6, LogLevel.Information, "Session with {Peer} ended: {Words}")]
    public static partial void SessionEnded(ILogger log, string peer, string words);

    [LoggerMessage(7, LogLevel.Warning, "Two contents under one sequence, both kept: {Keys}. Somebody restored a disk, or somebody lies.")]
    public static partial void ForksKept(ILogger log, string keys);

    [LoggerMessage(8, LogLevel.Warning, "Session with {Peer}: {Words}")]
    public static partial void SessionOdd(ILogger log, string peer, string words);

    [LoggerMessage(9, LogLevel.Warning, "This hub's own reports go on in a new epoch: {Words}")]
    public static partial void EpochOpened(ILogger log, string words);

    [LoggerMessage(10, LogLevel.Error, "The call {Call} failed inside the hub.")]
    public static partial void CallFailed(ILogger log, Exception failure, string call);

    [LoggerMessage(11, LogLevel.Warning, "The trip file {File} is not used: {Problem}")]
    public static partial void TripRefused(ILogger log, string file, string problem);

    [LoggerMessage(12, LogLevel.Information, "The trip file {File}: {Declared} items declared or changed, {Withdrawn} withdrawn.")]
    public static partial void TripDeclared(ILogger log, string file, int declared, int withdrawn);

    [LoggerMessage(13, LogLevel.Information, "{Problem}")]
    public static partial void TripQuestion(ILogger log, string problem);

    [LoggerMessage(14, LogLevel.Warning, "The journal was mended at start: {Words}")]
    public static partial void JournalMended(ILogger log, string words);

    [LoggerMessage(15, LogLevel.Information, "{Added} reports of the journal brought into the store.")]
    public static partial void StoreCaughtUp(ILogger log, long added);

    [LoggerMessage(16, LogLevel.Information, "The hub {Peer} answers at {Hub}; reports are exchanged.")]
    public static partial void LinkStands(ILogger log, Uri hub, NodeId peer);

    [LoggerMessage(17, LogLevel.Warning, "{Hub}: {Words} Reports are kept here and passed on later.")]
    public static partial void LinkDown(ILogger log, Uri hub, string words);

    [LoggerMessage(18, LogLevel.Warning, "The link to {Peer} has carried its {Budget} bytes of today. It rests until tomorrow; reports are kept.")]
    public static partial void BudgetSpent(ILogger log, NodeId peer, long budget);

    [LoggerMessage(19, LogLevel.Warning, "The trip file calls the hub at {Hub} {Expected}, and it calls itself {Peer}: mend the file.")]
    public static partial void OtherName(ILogger log, Uri hub, NodeId expected, NodeId peer);
}
