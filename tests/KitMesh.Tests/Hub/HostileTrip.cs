using Grpc.Net.Client;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.Exchange;
using KitMesh.Protocol.Kit;
using KitMesh.Protocol.Reports;
using KitMesh.Storage;
using KitMesh.TestKit.Hub;
using KitMesh.TestKit.Storage;
using NodaTime;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Tests.Hub;

/// <summary>A trip whose names are markup, as somebody could write them who wants to break a page.</summary>
internal static class HostileTrip
{
    private const string Hostile = "<img src=x onerror=alert(1)>\"'&";
    private static readonly Instant Now = Instant.FromUtc(2027, 2, 14, 18, 0);

    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    public static async Task DeclareAsync(TestHub hub)
    {
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        var mesh = new V1.MeshService.MeshServiceClient(channel);
        KitId name = KitId.Parse(Hostile);
        var request = new V1.DeclareKitRequest();
        request.Items.Add(KitItemCodec.Write(new Trip(name, new LocalDate(2027, 2, 8), new LocalDate(2027, 3, 5), Offset.FromHours(5))));
        request.Items.Add(KitItemCodec.Write(new Card(name, null, new ByteCount(64_000_000_000))));
        await mesh.DeclareKitAsync(request, cancellationToken: Cancel);
        var writer = new ReportMaker("ridge-agent");
        await PushAsync(
            mesh,
            writer,
            [
                writer.Make(1, Now, new ReaderFault(Hostile, name, Hostile, [], false)),
                writer.Make(2, Now, new AlertChanged(Hostile, name, true, Hostile)),
                writer.Make(3, Now, new CardSeen(name, name, name, new ByteCount(1), new ByteCount(1), 1)),
                writer.Make(4, Now, new ClipFound(new ClipHash(7), name, name, Hostile, new ByteCount(9), name, Now, null, Hostile)),
            ]);
    }

    /// <summary>Pushes notes, "note 1" first.</summary>
    public static async Task PushNotesAsync(TestHub hub, int count)
    {
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        var writer = new ReportMaker("ridge-phone");
        await PushAsync(
            new V1.MeshService.MeshServiceClient(channel),
            writer,
            Enumerable.Range(1, count).Select(i => writer.Make((ulong)i, Now + Duration.FromSeconds(i), new Note("lead", null, $"note {i}"))));
        await hub.Application.WhenCaughtUpAsync(Cancel);
    }

    private static async Task PushAsync(V1.MeshService.MeshServiceClient mesh, ReportMaker writer, IEnumerable<IncomingReport> reports)
    {
        var push = new V1.PushRequest { Origin = OriginCodec.Write(writer.Origin), FirstSequence = 1 };
        push.Encoded.AddRange(reports.Select(report => Google.Protobuf.ByteString.CopyFrom(ReportCodec.Encode(report.Timed.Report))));
        await mesh.PushAsync(push, cancellationToken: Cancel);
    }
}
