using System.Net;
using System.Threading.Channels;
using Microsoft.AspNetCore.Connections;

namespace KitMesh.Hub.Listening;

/// <summary>Gives the server the HTTP/2 connections that <see cref="PrefaceListener"/> found.</summary>
internal sealed class SideListener(Http2SideEndPoint endPoint, Channel<ConnectionContext> connections) : IConnectionListener
{
    public EndPoint EndPoint { get; } = endPoint;

    public async ValueTask<ConnectionContext?> AcceptAsync(CancellationToken cancellationToken = default)
    {
        while (await connections.Reader.WaitToReadAsync(cancellationToken).ConfigureAwait(false))
        {
            if (connections.Reader.TryRead(out ConnectionContext? connection))
            {
                return connection;
            }
        }

        return null;
    }

    public ValueTask UnbindAsync(CancellationToken cancellationToken = default)
    {
        connections.Writer.TryComplete();
        return ValueTask.CompletedTask;
    }

    public async ValueTask DisposeAsync()
    {
        connections.Writer.TryComplete();
        while (connections.Reader.TryRead(out ConnectionContext? connection))
        {
            await connection.DisposeAsync().ConfigureAwait(false);
        }
    }
}
