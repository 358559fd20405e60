using KitMesh.Domain.Reports;
using Microsoft.Extensions.Logging;

namespace KitMesh.Hub.Enrolment;

/// <summary>Every message about enrolment that a hub logs. None of them holds a code or a key.</summary>
internal static partial class EnrolLog
{
    [LoggerMessage(100, LogLevel.Information, "{Node} was let in as {Roles}.")]
    public static partial void LetIn(ILogger log, NodeId node, string roles);

    [LoggerMessage(101, LogLevel.Information, "The certificate of {Node} was renewed.")]
    public static partial void Renewed(ILogger log, NodeId node);

    [LoggerMessage(102, LogLevel.Information, "{Keeper} made a one-time code for {Node}.")]
    public static partial void CodeMade(ILogger log, NodeId node, NodeId keeper);

    [LoggerMessage(103, LogLevel.Warning, "Somebody at {Address} tried a code that is not valid.")]
    public static partial void CodeRefused(ILogger log, string address);

    [LoggerMessage(104, LogLevel.Warning, "The trust in {Node} was ended by {Author}.")]
    public static partial void Revoked(ILogger log, NodeId node, string author);

    [LoggerMessage(105, LogLevel.Warning, "The trip root is new and has no spare copy yet. Make one now, onto another medium: kitmesh enrol spare --data {Folder} --to FILE")]
    public static partial void MakeSpare(ILogger log, string folder);
}
