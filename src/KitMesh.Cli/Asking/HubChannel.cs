using Grpc.Net.Client;
using KitMesh.Agent.Identity;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.Certificates;

namespace KitMesh.Cli.Asking;

/// <summary>Opens channels to hubs: plain on this machine, with this device's certificate at an https address.</summary>
internal static class HubChannel
{
    private const int LargestAnswer = 64 << 20;

    /// <summary>Where a person's identity is kept when no folder is named.</summary>
    public static string StandardFolder =>
        Path.Combine(Environment.GetFolderPath(Environment.SpecialFolder.ApplicationData, Environment.SpecialFolderOption.DoNotVerify), "kitmesh", "identity");

    /// <summary>Opens a channel; the caller disposes it.</summary>
    /// <param name="hub">The hub.</param>
    /// <param name="identityFolder">This device's identity.</param>
    public static GrpcChannel Open(Uri hub, string identityFolder) => Open(hub, identityFolder, out _);

    /// <summary>Opens a channel; the caller disposes it.</summary>
    /// <param name="hub">The hub.</param>
    /// <param name="identityFolder">This device's identity.</param>
    /// <param name="signer">Signs with the identity's key; null where none is needed. It lives as long as the channel.</param>
    public static GrpcChannel Open(Uri hub, string identityFolder, out ISealSigner? signer)
    {
        signer = null;
        if (hub.Scheme != Uri.UriSchemeHttps)
        {
            return GrpcChannel.ForAddress(hub, new GrpcChannelOptions { MaxReceiveMessageSize = LargestAnswer });
        }

        if (!new IdentityFolder(identityFolder).TryLoad(out NodeIdentity? identity, out string? why))
        {
            throw CommandFault.BadInput($"{hub} answers enrolled devices only. {why} If the hub on this machine was started without https, ask it at its http address.");
        }

        signer = new CertificateSigner(() => identity);

        // Owned by the channel's handler for the life of this command.
        return GrpcChannel.ForAddress(hub, new GrpcChannelOptions { HttpHandler = identity.CreateHandler(), DisposeHttpClient = true, MaxReceiveMessageSize = LargestAnswer });
    }
}
