using System.Buffers;
using System.IO.Pipelines;
using System.Net;
using System.Threading.Channels;
using Microsoft.AspNetCore.Connections;

namespace KitMesh.Hub.Listening;

/// <summary>Accepts connections and sorts them by their first bytes; see <see cref="SharedPortListenerFactory"/>.</summary>
internal sealed class PrefaceListener : IConnectionListener
{
    private static readonly TimeSpan FirstBytesWithin = TimeSpan.FromSeconds(10);
    private readonly IConnectionListener _inner;
    private readonly ChannelWriter<ConnectionContext> _http2;
    private readonly Channel<ConnectionContext> _http1;
    private readonly TimeProvider _machine;
    private readonly SemaphoreSlim _judging;
    private readonly CancellationTokenSource _stop = new();
    private readonly Task _accepting;

    public PrefaceListener(IConnectionListener inner, ChannelWriter<ConnectionContext> http2, TimeProvider machine, int maxWaiting)
    {
        _inner = inner;
        _http2 = http2;
        _machine = machine;
        _http1 = Channel.CreateBounded<ConnectionContext>(maxWaiting);
        _judging = new SemaphoreSlim(maxWaiting);
        _accepting = AcceptAllAsync();
    }

    public EndPoint EndPoint => _inner.EndPoint;

    public async ValueTask<ConnectionContext?> AcceptAsync(CancellationToken cancellationToken = default)
    {
        while (await _http1.Reader.WaitToReadAsync(cancellationToken).ConfigureAwait(false))
        {
            if (_http1.Reader.TryRead(out ConnectionContext? connection))
            {
                return connection;
            }
        }

        return null;
    }

    public async ValueTask UnbindAsync(CancellationToken cancellationToken = default)
    {
        await _inner.UnbindAsync(cancellationToken).ConfigureAwait(false);
        await _stop.CancelAsync().ConfigureAwait(false);
        _http1.Writer.TryComplete();
        _http2.TryComplete();
    }

    public async ValueTask DisposeAsync()
    {
        await _stop.CancelAsync().ConfigureAwait(false);
        await _inner.DisposeAsync().ConfigureAwait(false);
        await _accepting.ConfigureAwait(false);
        _http1.Writer.TryComplete();
        while (_http1.Reader.TryRead(out ConnectionContext? connection))
        {
            await connection.DisposeAsync().ConfigureAwait(false);
        }

        _judging.Dispose();
        _stop.Dispose();
    }

    private async Task AcceptAllAsync()
    {
        try
        {
            while (await _inner.AcceptAsync(_stop.Token).ConfigureAwait(false) is { } connection)
            {
                await _judging.WaitAsync(_stop.Token).ConfigureAwait(false);
                _ = JudgeAsync(connection);
            }
        }
        catch (OperationCanceledException)
        {
            // Unbound: nothing more is accepted.
        }
        catch (ObjectDisposedException)
        {
            // The socket was closed under the pending accept.
        }
        finally
        {
            _http1.Writer.TryComplete();
        }
    }

    private async Task JudgeAsync(ConnectionContext connection)
    {
        try
        {
            using var limit = new CancellationTokenSource(FirstBytesWithin, _machine);
            using var either = CancellationTokenSource.CreateLinkedTokenSource(limit.Token, _stop.Token);
            bool http2 = await OpensWithPrefaceAsync(connection.Transport.Input, either.Token).ConfigureAwait(false);
            await (http2 ? _http2 : _http1.Writer).WriteAsync(connection, either.Token).ConfigureAwait(false);
        }
        catch (Exception failure) when (failure is OperationCanceledException or IOException or ChannelClosedException or ConnectionAbortedException)
        {
            // Silent for too long, gone already, or the hub is stopping: nobody waits for an answer.
            connection.Abort();
            await connection.DisposeAsync().ConfigureAwait(false);
        }
        finally
        {
            _judging.Release();
        }
    }

    private static async Task<bool> OpensWithPrefaceAsync(PipeReader input, CancellationToken cancellation)
    {
        while (true)
        {
            ReadResult read = await input.ReadAsync(cancellation).ConfigureAwait(false);
            bool? verdict = Judge(read.Buffer);
            if (verdict is { } known)
            {
                // Nothing consumed and nothing examined: the server's own read returns these bytes at once.
                input.AdvanceTo(read.Buffer.Start);
                return known;
            }

            input.AdvanceTo(read.Buffer.Start, read.Buffer.End);
            if (read.IsCompleted)
            {
                return false;
            }
        }
    }

    private static bool? Judge(ReadOnlySequence<byte> seen)
    {
        ReadOnlySpan<byte> preface = "PRI * HTTP/2.0"u8;
        int length = (int)Math.Min(seen.Length, preface.Length);
        Span<byte> first = stackalloc byte[length];
        seen.Slice(0, length).CopyTo(first);
        if (!preface.StartsWith(first))
        {
            return false;
        }

        return length == preface.Length ? true : null;
    }
}
