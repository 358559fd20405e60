using System.Net;
using System.Threading.Channels;
using Microsoft.AspNetCore.Connections;
using Microsoft.AspNetCore.Server.Kestrel.Transport.Sockets;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Options;

namespace KitMesh.Hub.Listening;

/// <summary>Lets HTTP/1.1 (pages, curl) and HTTP/2 (gRPC) share one port without TLS.</summary>
/// <remarks>
/// Problem: without TLS there is no ALPN to choose the protocol, so the server answers only one of the two on a port, and
/// people would have to remember two. Trap: a client that connects and says nothing must not hold up the others, so each
/// connection is judged on its own, with a time limit, and never by the accept loop.
/// Method: an HTTP/2 client without TLS always opens with the connection preface of RFC 9113 §3.4, whose first bytes
/// <c>PRI * HTTP/2.0</c> are no possible HTTP/1.1 request. The first bytes are looked at without being taken from the pipe;
/// connections that open with the preface are handed to a second, inner end point that speaks HTTP/2.
/// </remarks>
internal sealed class SharedPortListenerFactory(ILoggerFactory loggers, IOptions<SocketTransportOptions> sockets, HubClocks clocks)
    : IConnectionListenerFactory, IConnectionListenerFactorySelector
{
    /// <summary>Connections judged and not yet taken by the server; further ones wait in the system's backlog.</summary>
    private const int MaxWaiting = 128;

    private readonly SocketTransportFactory _transport = new(sockets, loggers);
    private readonly Channel<ConnectionContext> _http2 = Channel.CreateBounded<ConnectionContext>(MaxWaiting);

    public bool CanBind(EndPoint endpoint) => endpoint is IPEndPoint or Http2SideEndPoint;

    public async ValueTask<IConnectionListener> BindAsync(EndPoint endpoint, CancellationToken cancellationToken = default)
    {
        if (endpoint is Http2SideEndPoint side)
        {
            return new SideListener(side, _http2);
        }

        IConnectionListener inner = await _transport.BindAsync(endpoint, cancellationToken).ConfigureAwait(false);
        return new PrefaceListener(inner, _http2.Writer, clocks.Machine, MaxWaiting);
    }
}
