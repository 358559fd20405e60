using Grpc.Core;
using KitMesh.Cli.Frame;

namespace KitMesh.Tests.Cli;

public sealed class FaultPrinterTests
{
    public static TheoryData<Exception, bool, int> Faults => new()
    {
        { CommandFault.BadInput("wrong", "mend it"), false, 2 },
        { CommandFault.HubUnreachable(new Uri("http://127.0.0.1:1")), false, 3 },
        { new RpcException(new Status(StatusCode.Unavailable, "gone")), false, 3 },
        { new RpcException(new Status(StatusCode.DeadlineExceeded, "slow")), false, 3 },
        { new RpcException(new Status(StatusCode.InvalidArgument, "no such team")), false, 2 },
        { new RpcException(new Status(StatusCode.Internal, "broken")), false, 4 },
        { new RpcException(new Status(StatusCode.Cancelled, "cut")), true, 130 },
        { new OperationCanceledException(), true, 130 },
        { new OperationCanceledException(), false, 4 },
        { new IOException("no space"), false, 2 },
        { new InvalidOperationException("a fault"), false, 4 },
    };

    [Theory]
    [MemberData(nameof(Faults))]
    public void Print_EachFault_HasItsCodeAndOneFirstLine(Exception fault, bool interrupted, int code)
    {
        var talk = new StringWriter();

        Assert.Equal(code, (int)FaultPrinter.Print(fault, talk, interrupted));
        Assert.StartsWith("kitmesh: ", talk.ToString(), StringComparison.Ordinal);
    }
}
