using System.Net.Sockets;

namespace KitMesh.Hub.SelfTest;

/// <summary>Whether somebody listens at the address of another hub. A hub runs without its links, so silence is nothing wrong.</summary>
internal static class LinkCheck
{
    private const string Check = "link";
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(5);

    /// <summary>Opens a connection and closes it again.</summary>
    public static async Task<CheckLine> LookAsync(Uri hub, TimeProvider machine, CancellationToken cancellation)
    {
        using var patience = new CancellationTokenSource(Patience, machine);
        using var either = CancellationTokenSource.CreateLinkedTokenSource(patience.Token, cancellation);
        using var client = new TcpClient();
        try
        {
            await client.ConnectAsync(hub.Host.Trim('[', ']'), hub.Port, either.Token).ConfigureAwait(false);
            return CheckLine.Right(Check, $"Somebody listens at {hub}.");
        }
        catch (SocketException silent)
        {
            return Silent(hub, silent.Message);
        }
        catch (OperationCanceledException) when (!cancellation.IsCancellationRequested)
        {
            return Silent(hub, "no answer within 5 s");
        }
    }

    private static CheckLine Silent(Uri hub, string why) =>
        CheckLine.Look(Check, $"Nobody answers at {hub} ({why}).", "The hub runs without; what is missing is exchanged when the link is back. Check address and radio.");
}
