using System.Collections.Concurrent;
using System.Net;
using System.Net.Sockets;

namespace KitMesh.TestKit.Devices;

/// <summary>A TCP server that answers each request with the bytes that a test says: also with wrong ones, or none.</summary>
public sealed class ScriptedModbusServer : IAsyncDisposable
{
    private readonly TcpListener _listener = new(IPAddress.Loopback, 0);
    private readonly CancellationTokenSource _stop = new();
    private readonly Func<byte[], byte[]?> _answer;
    private readonly int _requestLength;
    private readonly Task _run;

    /// <summary>Starts a server.</summary>
    /// <param name="requestLength">Bytes of one request: 12 on TCP, 8 on a serial line.</param>
    /// <param name="answer">The answer; null hangs up, an empty one stays silent.</param>
    public ScriptedModbusServer(int requestLength, Func<byte[], byte[]?> answer)
    {
        _requestLength = requestLength;
        _answer = answer;
        _listener.Start();
        _run = RunAsync();
    }

    /// <summary>Where it listens.</summary>
    public int Port => ((IPEndPoint)_listener.LocalEndpoint).Port;

    /// <summary>Every request, in order.</summary>
    public ConcurrentQueue<byte[]> Requests { get; } = new();

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        await _stop.CancelAsync();
        _listener.Stop();
        await _run.ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
        _stop.Dispose();
    }

    private async Task RunAsync()
    {
        while (true)
        {
            TcpClient client = await _listener.AcceptTcpClientAsync(_stop.Token);
            _ = ServeAsync(client);
        }
    }

    private async Task ServeAsync(TcpClient client)
    {
        using (client)
        {
            NetworkStream stream = client.GetStream();
            var request = new byte[_requestLength];
            try
            {
                while (true)
                {
                    await stream.ReadExactlyAsync(request, _stop.Token);
                    Requests.Enqueue([.. request]);
                    if (_answer([.. request]) is not { } answer)
                    {
                        return;
                    }

                    await stream.WriteAsync(answer, _stop.Token);
                }
            }
            catch (Exception e) when (e is IOException or EndOfStreamException or OperationCanceledException)
            {
                // The client went away, or the test is over.
            }
        }
    }
}
