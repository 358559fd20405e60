using Grpc.Core;

namespace KitMesh.Cli.Frame;

/// <summary>The one place where what went wrong becomes words on stderr and an exit code.</summary>
internal static class FaultPrinter
{
    /// <summary>Prints a fault and returns its exit code.</summary>
    /// <param name="fault">What was thrown.</param>
    /// <param name="talk">Where to say it: stderr.</param>
    /// <param name="interrupted">True when the user asked to stop.</param>
    public static ExitCode Print(Exception fault, TextWriter talk, bool interrupted)
    {
        switch (fault)
        {
            case CommandFault known:
                Say(talk, known.Message, known.Mend);
                return known.Code;
            case OperationCanceledException when interrupted:
            case RpcException { StatusCode: StatusCode.Cancelled } when interrupted:
                talk.WriteLine("kitmesh: stopped.");
                return ExitCode.Interrupted;
            case RpcException { StatusCode: StatusCode.Unavailable or StatusCode.DeadlineExceeded } silent:
                Say(talk, $"The hub does not answer: {silent.Status.Detail}", "Is it running (kitmesh hub), and is the address right? Nothing was changed.");
                return ExitCode.HubUnreachable;
            case RpcException { StatusCode: StatusCode.InvalidArgument or StatusCode.NotFound or StatusCode.FailedPrecondition } refused:
                Say(talk, $"The hub refused: {refused.Status.Detail}", null);
                return ExitCode.BadInput;
            case RpcException { StatusCode: StatusCode.ResourceExhausted } busy:
                Say(talk, $"The hub is busy: {busy.Status.Detail}", "Nothing was changed.");
                return ExitCode.HubUnreachable;
            case RpcException { StatusCode: StatusCode.Unauthenticated or StatusCode.PermissionDenied } stranger:
                Say(talk, $"The hub refused: {stranger.Status.Detail}", "Who may do what, and how a device joins: docs/enrolment.md");
                return ExitCode.BadInput;
            case IOException or UnauthorizedAccessException:
                Say(talk, fault.Message, "Check the path, its owner and the free space.");
                return ExitCode.BadInput;
            default:
                Say(talk, $"A fault of this program: {fault.Message}", "Nothing that a hub acknowledged is lost. Please keep the lines below.");
                talk.WriteLine(fault);
                return ExitCode.Internal;
        }
    }

    private static void Say(TextWriter talk, string message, string? mend)
    {
        talk.WriteLine($"kitmesh: {message}");
        if (mend is not null)
        {
            talk.WriteLine($"         {mend}");
        }
    }
}
