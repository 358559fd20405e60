using System.Net;
using System.Net.Sockets;

namespace KitMesh.Demo.Devices;

/// <summary>The radio link between a far team and the hub: passes TCP on, until the scenario cuts it.</summary>
public sealed class LinkRelay : IAsyncDisposable
{
    private const int MaxConnections = 16;

    private readonly TcpListener _listener = new(IPAddress.Loopback, 0);
    private readonly int _target;
    private readonly CancellationTokenSource _stop = new();
    private readonly Lock _lock = new();
    private readonly HashSet<TcpClient> _open = [];
    private readonly Task _accepting;
    private bool _isUp = true;

    /// <summary>Starts to pass on.</summary>
    /// <param name="target">Port of the hub on the loopback address.</param>
    public LinkRelay(int target)
    {
        _target = target;
        _listener.Start();
        Port = ((IPEndPoint)_listener.LocalEndpoint).Port;
        _accepting = AcceptAsync();
    }

    /// <summary>The port that the far team's agents connect to.</summary>
    public int Port { get; }

    /// <summary>Whether the link stands. Cutting it drops what is open and refuses what comes.</summary>
    public bool IsUp
    {
        get => _isUp;
        set
        {
            lock (_lock)
            {
                _isUp = value;
                if (!value)
                {
                    foreach (TcpClient client in _open)
                    {
                        client.Dispose();
                    }

                    _open.Clear();
                }
            }
        }
    }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        await _stop.CancelAsync().ConfigureAwait(false);
        IsUp = false;
        _listener.Stop();
        await _accepting.ConfigureAwait(false);
        _listener.Dispose();
    }

    private async Task AcceptAsync()
    {
        try
        {
            while (true)
            {
                TcpClient near = await _listener.AcceptTcpClientAsync(_stop.Token).ConfigureAwait(false);
                if (!Keep(near))
                {
                    near.Dispose();
                    continue;
                }

                _ = PassAsync(near);
            }
        }
        catch (Exception e) when (e is OperationCanceledException or SocketException or ObjectDisposedException)
        {
            // The relay was asked to stop.
        }
    }

    private bool Keep(TcpClient client)
    {
        lock (_lock)
        {
            if (!_isUp || _open.Count >= MaxConnections)
            {
                return false;
            }

            _open.Add(client);
            return true;
        }
    }

    private async Task PassAsync(TcpClient near)
    {
        using var far = new TcpClient();
        try
        {
            await far.ConnectAsync(IPAddress.Loopback, _target, _stop.Token).ConfigureAwait(false);
            if (Keep(far))
            {
                near.NoDelay = far.NoDelay = true;
                NetworkStream nearStream = near.GetStream();
                NetworkStream farStream = far.GetStream();
                await Task.WhenAny(nearStream.CopyToAsync(farStream, _stop.Token), farStream.CopyToAsync(nearStream, _stop.Token)).ConfigureAwait(false);
            }
        }
        catch (Exception e) when (e is OperationCanceledException or IOException or SocketException or ObjectDisposedException)
        {
            // One side went away: the other is closed below.
        }
        finally
        {
            lock (_lock)
            {
                _open.Remove(near);
                _open.Remove(far);
            }

            near.Dispose();
        }
    }
}
