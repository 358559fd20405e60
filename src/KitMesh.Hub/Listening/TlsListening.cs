using System.Net;
using System.Net.Security;
using System.Security.Authentication;
using System.Security.Cryptography.X509Certificates;
using KitMesh.Hub.Enrolment;
using KitMesh.Protocol.Certificates;
using Microsoft.AspNetCore.Connections;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Server.Kestrel.Core;
using Microsoft.AspNetCore.Server.Kestrel.Https;

namespace KitMesh.Hub.Listening;

/// <summary>Listens where others can reach the hub: TLS 1.3, and every connection is asked for a certificate.</summary>
/// <remarks>
/// The handshake only finds out what a certificate is worth; it lets everybody through, since a stranger must be able to
/// join and deserves words. Who may do what is decided by <see cref="CallerGate"/>. Beside it a socket in the data folder
/// answers whoever may enter that folder: the owner of the machine, who needs no certificate to make the first code.
/// </remarks>
internal static class TlsListening
{
    private const int LongestSocketPath = 100;
    private static readonly TimeSpan HandshakeWithin = TimeSpan.FromSeconds(20);

    public static void Add(KestrelServerOptions kestrel, IPEndPoint endPoint, HubOptions options, HubIdentity identity)
    {
        kestrel.Listen(endPoint, listen =>
        {
            listen.Protocols = HttpProtocols.Http1AndHttp2;
            listen.UseHttps(new TlsHandshakeCallbackOptions
            {
                HandshakeTimeout = HandshakeWithin,
                OnConnection = handshake => ValueTask.FromResult(Ask(handshake.Connection, identity)),
            });
        });
        string socket = new HubIdentityFolder(options.DataFolder).Socket;
        if (socket.Length > LongestSocketPath)
        {
            throw new HubStartException($"The path {socket} is too long for a socket. Use a data folder with a shorter path.");
        }

        var owner = new Caller(options.Node, MeshRoles.Keeper | MeshRoles.Reader, null, CallerWay.OwnerSocket);
        kestrel.ListenUnixSocket(socket, listen =>
        {
            listen.Protocols = HttpProtocols.Http2;
            listen.Use(next => connection =>
            {
                connection.Items[CallerGate.VerdictKey] = owner;
                return next(connection);
            });
        });
    }

    private static SslServerAuthenticationOptions Ask(ConnectionContext connection, HubIdentity identity) => new()
    {
        ServerCertificateContext = identity.Self.Shown,
        EnabledSslProtocols = SslProtocols.Tls13,
        ApplicationProtocols = [SslApplicationProtocol.Http2, SslApplicationProtocol.Http11],
        AllowRenegotiation = false,

        // A resumed session brings the leaf certificate back and not those between it and the root: who was let in by a
        // further hub would be a stranger at its second connection.
        AllowTlsResume = false,
        ClientCertificateRequired = true,
        CertificateChainPolicy = identity.Trust.Policy(),
        RemoteCertificateValidationCallback = (_, shown, chain, _) =>
        {
            if (shown is X509Certificate2 certificate)
            {
                connection.Items[CallerGate.VerdictKey] = identity.Trust.Judge(certificate, chain?.ChainPolicy.ExtraStore);
            }

            // "Required" only makes the hub ask: who shows none is a stranger, and the gate says so in words.
            return true;
        },
    };
}
