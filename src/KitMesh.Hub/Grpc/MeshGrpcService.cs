using System.Runtime.CompilerServices;
using Grpc.Core;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Hub.Enrolment;
using KitMesh.Hub.Ingest;
using KitMesh.Hub.Links;
using KitMesh.Protocol.Exchange;
using KitMesh.Protocol.Kit;
using KitMesh.Sync.Session;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Hub.Grpc;

/// <summary>Reports in: sessions, pushes and declarations.</summary>
internal sealed class MeshGrpcService(SessionHost sessions, LinkBook links, PushIntake pushes, KitIntake kit) : V1.MeshService.MeshServiceBase
{
    public override async Task Exchange(
        IAsyncStreamReader<V1.ExchangeRequest> requestStream,
        IServerStreamWriter<V1.ExchangeResponse> responseStream,
        ServerCallContext context)
    {
        // Whose link it is, and so what counts it, is known from hello on.
        LinkMeter? meter = null;
        await context.WriteResponseHeadersAsync(WireCompression.Headers()).ConfigureAwait(false);
        SessionAction.Closed end = await sessions.RunAsync(
            FramesAsync(requestStream, peer => meter = links.MeterOf(peer), bytes => meter?.Count(bytes), context.CancellationToken),
            frame =>
            {
                var response = new V1.ExchangeResponse { Frame = FrameCodec.Write(frame) };
                meter?.Count(response.CalculateSize());
                responseStream.WriteOptions = WireCompression.For(response);
                return responseStream.WriteAsync(response, context.CancellationToken);
            },
            context.CancellationToken,
            CallerGate.Of(context)).ConfigureAwait(false);
        if (end is { Reason: ByeReason.Unknown, ByPeer: false })
        {
            // The link broke, or the peer reads nothing: what still waits to be read by it holds memory until then.
            context.GetHttpContext().Abort();
        }
    }

    public override Task<V1.PushResponse> Push(V1.PushRequest request, ServerCallContext context)
    {
        bool isForeign = CallerGate.Of(context) is { } caller && OriginCodec.TryRead(request.Origin, out OriginId origin) && !caller.MayWrite(origin.Node);
        return isForeign
            ? throw CallRefusedException.NotAllowed($"{CallerGate.Of(context)!.Node} may hand over its own reports only. Nothing of this push was kept.")
            : pushes.PushAsync(request, CallerGate.Of(context), context.CancellationToken);
    }

    public override async Task<V1.DeclareKitResponse> DeclareKit(V1.DeclareKitRequest request, ServerCallContext context)
    {
        var items = new List<KitItem>(request.Items.Count);
        for (int i = 0; i < request.Items.Count; i++)
        {
            items.Add(KitItemCodec.Read(request.Items[i], out string? fault)
                ?? throw CallRefusedException.Bad($"items[{i}]", $"Item {i} cannot be read: {fault}. Nothing was declared."));
        }

        KitIntake.Outcome outcome = await kit.DeclareAsync(items, request.Whole, context.CancellationToken).ConfigureAwait(false);
        return new V1.DeclareKitResponse { Declared = (uint)outcome.Declared, Unchanged = (uint)outcome.Unchanged, Withdrawn = (uint)outcome.Withdrawn };
    }

    private static async IAsyncEnumerable<SessionFrame> FramesAsync(
        IAsyncStreamReader<V1.ExchangeRequest> stream,
        Action<NodeId> met,
        Action<int> count,
        [EnumeratorCancellation] CancellationToken cancellation)
    {
        await foreach (V1.ExchangeRequest request in stream.ReadAllAsync(cancellation).ConfigureAwait(false))
        {
            SessionFrame frame = FrameCodec.Read(request.Frame);
            if (frame is HelloFrame { Role: NodeRole.Hub } hello)
            {
                met(hello.Node);
            }

            count(request.CalculateSize());
            yield return frame;
        }
    }
}
