using System.Net;
using System.Net.Sockets;

namespace KitMesh.Hub.SelfTest;

/// <summary>Whether the address can be listened at.</summary>
internal static class ListenCheck
{
    private const string Check = "address";

    /// <summary>Takes the port for a blink; beside a hub that runs on the folder it is expected to be taken.</summary>
    public static CheckLine Look(Uri listen, bool hubRuns)
    {
        IPAddress address = IPAddress.TryParse(listen.Host.Trim('[', ']'), out IPAddress? parsed) ? parsed : IPAddress.Loopback;
        using var probe = new TcpListener(address, listen.Port);
        try
        {
            probe.Start();
            probe.Stop();
            return hubRuns
                ? CheckLine.Look(Check, $"{listen} is free, and yet a hub runs on the data folder.", "It listens elsewhere: compare its --listen with this one.")
                : CheckLine.Right(Check, listen.Port == 0 ? $"{listen} takes any free port." : $"{listen} is free.");
        }
        catch (SocketException taken) when (taken.SocketErrorCode == SocketError.AddressAlreadyInUse)
        {
            return hubRuns
                ? CheckLine.Right(Check, $"{listen} is in use, as it is when the hub runs.")
                : CheckLine.Wrong(Check, $"{listen} is taken by another program.", "Stop that program, or give another port with --listen.");
        }
        catch (SocketException refused)
        {
            return CheckLine.Wrong(Check, $"{listen} cannot be listened at: {refused.Message}", "Use an address of this machine and a port from 1024 up.");
        }
    }
}
