using Google.Protobuf;
using Grpc.Net.Client;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Protocol.Exchange;
using KitMesh.Protocol.Kit;
using KitMesh.Protocol.Reports;
using KitMesh.TestKit.Storage;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.TestKit.Hub;

/// <summary>Hands kit and readings to a hub as a keeper and an agent would.</summary>
public static class HubFill
{
    private const int Batch = 500;

    /// <summary>Declares kit and pushes what an agent wrote, in order.</summary>
    public static async Task GiveAsync(Uri hub, IEnumerable<KitItem> kit, string node, IReadOnlyList<TimedReading> written, CancellationToken cancellation)
    {
        using GrpcChannel channel = GrpcChannel.ForAddress(hub);
        var mesh = new V1.MeshService.MeshServiceClient(channel);
        var declared = new V1.DeclareKitRequest();
        declared.Items.AddRange(kit.Select(KitItemCodec.Write));
        if (declared.Items.Count > 0)
        {
            await mesh.DeclareKitAsync(declared, cancellationToken: cancellation);
        }

        var writer = new ReportMaker(node);
        for (int from = 0; from < written.Count; from += Batch)
        {
            var push = new V1.PushRequest { Origin = OriginCodec.Write(writer.Origin), FirstSequence = (ulong)from + 1 };
            for (int i = from; i < Math.Min(from + Batch, written.Count); i++)
            {
                push.Encoded.Add(ByteString.CopyFrom(ReportCodec.Encode(writer.Make((ulong)i + 1, written[i].Time, written[i].Body).Timed.Report)));
            }

            await mesh.PushAsync(push, cancellationToken: cancellation);
        }
    }
}
