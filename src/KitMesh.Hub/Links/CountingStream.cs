using System.Net.Sockets;

namespace KitMesh.Hub.Links;

/// <summary>A connection whose bytes are counted, both ways.</summary>
internal sealed class CountingStream(Socket socket, Action<int> count) : NetworkStream(socket, ownsSocket: true)
{
    /// <inheritdoc/>
    public override async ValueTask<int> ReadAsync(Memory<byte> buffer, CancellationToken cancellationToken = default)
    {
        int read = await base.ReadAsync(buffer, cancellationToken).ConfigureAwait(false);
        count(read);
        return read;
    }

    /// <inheritdoc/>
    public override async ValueTask WriteAsync(ReadOnlyMemory<byte> buffer, CancellationToken cancellationToken = default)
    {
        await base.WriteAsync(buffer, cancellationToken).ConfigureAwait(false);
        count(buffer.Length);
    }
}
