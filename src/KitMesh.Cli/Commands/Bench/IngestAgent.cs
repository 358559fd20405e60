using System.Net.Security;
using System.Net.Sockets;
using System.Security.Cryptography.X509Certificates;
using System.Threading.Channels;
using Grpc.Core;
using Grpc.Net.Client;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Protocol.Exchange;
using KitMesh.Sync.Journal;
using KitMesh.Sync.Session;
using NodaTime;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Cli.Commands.Bench;

/// <summary>One sender of the ingest measurement: a real session over its own connection.</summary>
/// <param name="origin">Whose reports it sends.</param>
/// <param name="journal">What it sends.</param>
/// <param name="batch">Reports in one frame.</param>
/// <param name="compress">Whether it compresses what it sends, as agents do.</param>
/// <param name="machine">Machine time.</param>
/// <param name="device">The clock it shows the hub.</param>
internal sealed class IngestAgent(OriginId origin, IJournalView journal, int batch, bool compress, TimeProvider machine, IDeviceClock device)
{
    private readonly Queue<(ulong Last, long SentAt)> _waiting = new();
    private readonly long _started = machine.GetTimestamp();
    private long _wireBytes;

    /// <summary>Bytes that went out.</summary>
    public long WireBytes => Interlocked.Read(ref _wireBytes);

    /// <summary>When the first report went out.</summary>
    public long FirstSent { get; private set; }

    /// <summary>When the last report was durable at the hub.</summary>
    public long LastDurable { get; private set; }

    /// <summary>Milliseconds from sending each batch to hearing that it is durable.</summary>
    public List<double> AckMilliseconds { get; } = [];

    /// <summary>Why the session ended, when not because all was said.</summary>
    public string? Fault { get; private set; }

    /// <summary>Sends everything and waits until it is durable.</summary>
    /// <param name="hub">The hub.</param>
    /// <param name="pin">SHA-256 of the certificate that the hub must show; null without TLS.</param>
    /// <param name="cancellation">Gives up.</param>
    public async Task RunAsync(Uri hub, string? pin, CancellationToken cancellation)
    {
        using var handler = new SocketsHttpHandler
        {
            ConnectCallback = ConnectAsync,
            SslOptions = new SslClientAuthenticationOptions
            {
                RemoteCertificateValidationCallback = (_, certificate, _, _) => pin is not null && certificate is X509Certificate2 shown && shown.GetCertHashString(System.Security.Cryptography.HashAlgorithmName.SHA256) == pin,
            },
        };
        using GrpcChannel channel = GrpcChannel.ForAddress(hub, new GrpcChannelOptions { HttpHandler = handler });
        using AsyncDuplexStreamingCall<V1.ExchangeRequest, V1.ExchangeResponse> call = new V1.MeshService.MeshServiceClient(channel).Exchange(compress ? WireCompression.Headers() : null, cancellationToken: cancellation);
        var session = new ExchangeSession(
            new SessionOptions { Node = origin.Node, Role = NodeRole.Agent, FrameReports = batch, FrameBytes = 1 << 20 },
            journal,
            new CreditBudget(4 << 20),
            new ClockPairLog(),
            static () => null,
            Moment());
        session.Finish();
        var mail = Channel.CreateUnbounded<SessionFrame?>();
        Task reading = ReadAsync(call.ResponseStream, mail.Writer, cancellation);
        using var timer = new Timer(_ => mail.Writer.TryWrite(null), null, 1_000, 1_000);
        while (!await DrainAsync(session, call.RequestStream).ConfigureAwait(false))
        {
            if (!await mail.Reader.WaitToReadAsync(cancellation).ConfigureAwait(false))
            {
                session.Cut();
                continue;
            }

            while (mail.Reader.TryRead(out SessionFrame? frame))
            {
                Feed(session, frame);
            }
        }

        await call.RequestStream.CompleteAsync().ConfigureAwait(false);
        await reading.ConfigureAwait(false);
    }

    private async ValueTask<Stream> ConnectAsync(SocketsHttpConnectionContext context, CancellationToken cancellation)
    {
        var socket = new Socket(SocketType.Stream, ProtocolType.Tcp) { NoDelay = true };
        try
        {
            await socket.ConnectAsync(context.DnsEndPoint, cancellation).ConfigureAwait(false);
            return new CountingStream(new NetworkStream(socket, ownsSocket: true), count => Interlocked.Add(ref _wireBytes, count));
        }
        catch
        {
            socket.Dispose();
            throw;
        }
    }

    private void Feed(ExchangeSession session, SessionFrame? frame)
    {
        if (frame is null)
        {
            session.Tick(Moment());
            return;
        }

        if (frame is DurableFrame durable && durable.Origins.FirstOrDefault(told => told.Origin == origin) is { } own)
        {
            long now = machine.GetTimestamp();
            while (_waiting.TryPeek(out (ulong Last, long SentAt) sent) && own.Ranges.Last >= sent.Last)
            {
                _waiting.Dequeue();
                AckMilliseconds.Add(machine.GetElapsedTime(sent.SentAt, now).TotalMilliseconds);
                LastDurable = now;
            }
        }

        session.Receive(frame, Moment());
    }

    private async Task<bool> DrainAsync(ExchangeSession session, IClientStreamWriter<V1.ExchangeRequest> stream)
    {
        while (session.TryNext(out SessionAction? action))
        {
            switch (action)
            {
                case SessionAction.Send send:
                    if (send.Frame is ReportsFrame reports)
                    {
                        long now = machine.GetTimestamp();
                        FirstSent = FirstSent == 0 ? now : FirstSent;
                        _waiting.Enqueue((reports.FirstSequence + (ulong)reports.Reports.Count - 1, now));
                    }

                    var message = new V1.ExchangeRequest { Frame = FrameCodec.Write(send.Frame) };
                    stream.WriteOptions = compress ? WireCompression.For(message) : null;
                    await stream.WriteAsync(message).ConfigureAwait(false);
                    break;
                case SessionAction.Closed closed:
                    Fault = closed.Reason == ByeReason.Done && _waiting.Count == 0 ? null : closed.Words;
                    return true;
                default:
                    // Clock pairs, acknowledgements and remarks matter to a real agent; here only the sending is measured.
                    break;
            }
        }

        return false;
    }

    private static async Task ReadAsync(IAsyncStreamReader<V1.ExchangeResponse> stream, ChannelWriter<SessionFrame?> mail, CancellationToken cancellation)
    {
        try
        {
            while (await stream.MoveNext(cancellation).ConfigureAwait(false))
            {
                mail.TryWrite(FrameCodec.Read(stream.Current.Frame));
            }
        }
        catch (RpcException)
        {
            // The session says why it ended.
        }

        mail.TryComplete();
    }

    private SessionMoment Moment()
    {
        DeviceTime now = device.Read();
        return new SessionMoment(now, device.Trust, HybridTime.From(now.Wall.ToUnixTimeMilliseconds(), 0), Duration.FromTimeSpan(machine.GetElapsedTime(_started)));
    }
}
