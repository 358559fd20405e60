using System.Net;
using System.Net.Sockets;

namespace KitMesh.Cli.Commands.Bench;

/// <summary>A port of this machine that passes everything on to another one and counts the bytes that go there.</summary>
internal sealed class CountingRelay : IDisposable
{
    private readonly TcpListener _listener = new(IPAddress.Loopback, 0);
    private readonly Uri _to;
    private long _bytes;

    /// <summary>Begins to listen; ends when it is disposed.</summary>
    public CountingRelay(Uri to)
    {
        _to = to;
        _listener.Start();
        _ = ListenAsync();
    }

    /// <summary>Where to dial.</summary>
    public Uri Address => new($"{_to.Scheme}://127.0.0.1:{((IPEndPoint)_listener.LocalEndpoint).Port}");

    /// <summary>Bytes that the dialling side sent.</summary>
    public long Bytes => Interlocked.Read(ref _bytes);

    /// <inheritdoc/>
    public void Dispose() => _listener.Dispose();

    private async Task ListenAsync()
    {
        try
        {
            while (true)
            {
                _ = PassAsync(await _listener.AcceptTcpClientAsync().ConfigureAwait(false));
            }
        }
        catch (Exception over) when (over is ObjectDisposedException or SocketException or InvalidOperationException)
        {
            // The measurement is over.
        }
    }

    private async Task PassAsync(TcpClient from)
    {
        using TcpClient caller = from;
        using var called = new TcpClient { NoDelay = true };
        caller.NoDelay = true;
        try
        {
            await called.ConnectAsync(IPAddress.Loopback, _to.Port).ConfigureAwait(false);
            await using var counted = new CountingStream(called.GetStream(), count => Interlocked.Add(ref _bytes, count));
            await Task.WhenAny(
                caller.GetStream().CopyToAsync(counted),
                called.GetStream().CopyToAsync(caller.GetStream())).ConfigureAwait(false);
        }
        catch (Exception broken) when (broken is IOException or SocketException or ObjectDisposedException)
        {
            // Whoever dials sees a broken link and dials again.
        }
    }
}
