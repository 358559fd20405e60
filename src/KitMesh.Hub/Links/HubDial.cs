using System.Net.Sockets;
using System.Runtime.CompilerServices;
using Grpc.Core;
using Grpc.Net.Client;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Hub.Enrolment;
using KitMesh.Hub.Grpc;
using KitMesh.Protocol.Certificates;
using KitMesh.Protocol.Exchange;
using KitMesh.Sync.Session;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Hub.Links;

/// <summary>One call to another hub, from dialling to the end of its session.</summary>
/// <param name="hub">Its address.</param>
/// <param name="meter">Counts its bytes; null without a budget.</param>
/// <param name="identity">Who this hub is; null on one that asks nobody, which dials its own machine only.</param>
/// <param name="rights">Who is no longer trusted.</param>
/// <param name="sessions">Drives the session.</param>
/// <param name="met">Told once who answers.</param>
internal sealed class HubDial(Uri hub, LinkMeter? meter, HubIdentity? identity, RightsBook rights, SessionHost sessions, Action<NodeId> met)
{
    private static readonly TimeSpan AnswersWithin = TimeSpan.FromSeconds(30);
    private static readonly TimeSpan SpentGrace = TimeSpan.FromSeconds(3);
    private static readonly TimeSpan ConnectTimeout = TimeSpan.FromSeconds(10);
    private TrustVerdict.Member? _shown;
    private volatile RpcException? _refused;

    /// <summary>Whether a hub said hello: then a broken link is no reason for a long pause.</summary>
    public bool Reached { get; private set; }

    /// <summary>Dials and exchanges until one side ends it or the link breaks.</summary>
    /// <param name="machine">Machine time.</param>
    /// <param name="stop">This hub stops.</param>
    /// <exception cref="OperationCanceledException">This hub stops.</exception>
    public async Task<SessionAction.Closed> RunAsync(TimeProvider machine, CancellationToken stop)
    {
        using SocketsHttpHandler handler = Handler();
        using GrpcChannel channel = GrpcChannel.ForAddress(hub, new GrpcChannelOptions { HttpHandler = handler });
        using var over = CancellationTokenSource.CreateLinkedTokenSource(stop);
        void CutWhenRevoked()
        {
            if (_shown is { } shown && IsOut(shown))
            {
                over.Cancel();
            }
        }

        // What is under way may still be acknowledged; then the link rests until tomorrow.
        void CutWhenSpent() => over.CancelAfter(SpentGrace);

        rights.Changed += CutWhenRevoked;
        meter?.Spent += CutWhenSpent;
        try
        {
            using AsyncDuplexStreamingCall<V1.ExchangeRequest, V1.ExchangeResponse> call =
                new V1.MeshService.MeshServiceClient(channel).Exchange(WireCompression.Headers(), cancellationToken: over.Token);

            // The called side says hello at once, and only then is it known whom the certificate names.
            await call.ResponseHeadersAsync.WaitAsync(AnswersWithin, machine, over.Token).ConfigureAwait(false);
            SessionAction.Closed end = await sessions.RunAsync(
                FramesAsync(call.ResponseStream, over.Token),
                frame => SayAsync(call.RequestStream, frame, over.Token),
                over.Token,
                _shown is { } shown ? new Caller(shown.Node, shown.Roles, shown.Issuer, CallerWay.Certificate) : null,
                () => EndAsync(call.RequestStream)).ConfigureAwait(false);
            stop.ThrowIfCancellationRequested();
            return _refused is { } refused ? Refusal(refused) : IsSpent ? Rest : end;
        }
#pragma warning disable CA1031 // The one door: whatever the other hub or the link does, this hub goes on.
        catch (Exception failure)
#pragma warning restore CA1031
        {
            // A call that this hub's own end cancels tells so in several ways.
            stop.ThrowIfCancellationRequested();
            return failure is RpcException { StatusCode: StatusCode.Unauthenticated or StatusCode.PermissionDenied } refused
                ? Refusal(refused)
                : IsSpent ? Rest
                : new SessionAction.Closed(ByeReason.Unknown, Words(failure), ByPeer: true);
        }
        finally
        {
            rights.Changed -= CutWhenRevoked;
            meter?.Spent -= CutWhenSpent;
        }
    }

    private bool IsSpent => meter is { HasRoom: false };

    private static SessionAction.Closed Rest => new(ByeReason.GoingAway, "The day's budget is spent.", ByPeer: false);

    private SocketsHttpHandler Handler()
    {
        SocketsHttpHandler handler = hub.Scheme == Uri.UriSchemeHttps && identity is not null
            ? identity.Self.CreateHandler(shown => _shown = shown)
            : new SocketsHttpHandler { AllowAutoRedirect = false, UseProxy = false };
        handler.ConnectTimeout = ConnectTimeout;
        handler.KeepAlivePingDelay = TimeSpan.FromMinutes(1);
        handler.KeepAlivePingTimeout = TimeSpan.FromSeconds(20);
        handler.KeepAlivePingPolicy = HttpKeepAlivePingPolicy.WithActiveRequests;
        if (meter is not null)
        {
            handler.ConnectCallback = ConnectAsync;
        }

        return handler;
    }

    private async ValueTask<Stream> ConnectAsync(SocketsHttpConnectionContext context, CancellationToken cancellation)
    {
        var socket = new Socket(SocketType.Stream, ProtocolType.Tcp) { NoDelay = true };
        try
        {
            await socket.ConnectAsync(context.DnsEndPoint, cancellation).ConfigureAwait(false);
            return new CountingStream(socket, meter!.Count);
        }
        catch
        {
            socket.Dispose();
            throw;
        }
    }

    private async IAsyncEnumerable<SessionFrame> FramesAsync(IAsyncStreamReader<V1.ExchangeResponse> stream, [EnumeratorCancellation] CancellationToken cancellation)
    {
        while (await MoveAsync(stream, cancellation).ConfigureAwait(false))
        {
            SessionFrame frame = FrameCodec.Read(stream.Current.Frame);
            if (frame is HelloFrame hello && !Reached)
            {
                Reached = true;
                met(hello.Node);
            }

            yield return frame;
        }
    }

    /// <summary>A session only sees that the link broke; a refusal comes with words that a person must read.</summary>
    private async Task<bool> MoveAsync(IAsyncStreamReader<V1.ExchangeResponse> stream, CancellationToken cancellation)
    {
        try
        {
            return await stream.MoveNext(cancellation).ConfigureAwait(false);
        }
        catch (RpcException refused) when (refused.StatusCode is StatusCode.Unauthenticated or StatusCode.PermissionDenied or StatusCode.ResourceExhausted or StatusCode.Unimplemented)
        {
            _refused = refused;
            throw;
        }
    }

    private static Task SayAsync(IClientStreamWriter<V1.ExchangeRequest> stream, SessionFrame frame, CancellationToken cancellation)
    {
        var request = new V1.ExchangeRequest { Frame = FrameCodec.Write(frame) };
        stream.WriteOptions = WireCompression.For(request);
        return stream.WriteAsync(request, cancellation);
    }

    private static async Task EndAsync(IClientStreamWriter<V1.ExchangeRequest> stream)
    {
        try
        {
            await stream.CompleteAsync().ConfigureAwait(false);
        }
        catch (Exception over) when (over is RpcException or InvalidOperationException or IOException or OperationCanceledException)
        {
            // The other side was faster.
        }
    }

    private bool IsOut(TrustVerdict.Member member) =>
        rights.Revoked.ContainsKey(member.Node) || (member.Issuer is { } issuer && rights.Revoked.ContainsKey(issuer));

    private static SessionAction.Closed Refusal(RpcException refused) => new(
        refused.StatusCode == StatusCode.ResourceExhausted ? ByeReason.GoingAway : ByeReason.Forbidden,
        refused.Status.Detail,
        ByPeer: true);

    private static string Words(Exception failure) => failure switch
    {
        RpcException rpc => rpc.Status.Detail,
        TimeoutException => $"it did not speak within {AnswersWithin.TotalSeconds:0} s",
        _ => failure.Message,
    };
}
