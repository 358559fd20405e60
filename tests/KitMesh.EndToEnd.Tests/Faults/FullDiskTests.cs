using System.Security.Cryptography;
using Google.Protobuf;
using Grpc.Core;
using Grpc.Net.Client;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Protocol.Reports;
using KitMesh.Protocol.V1;
using KitMesh.TestKit.Offload;
using NodaTime;
using OriginId = KitMesh.Domain.Reports.OriginId;

namespace KitMesh.EndToEnd.Tests.Faults;

/// <summary>A whole hub on a small file system that really fills up.</summary>
public sealed class FullDiskTests
{
    private const int Batch = 50;
    private static readonly OriginId Writer = new(NodeId.Parse("writer"), 0xF111);

    [Fact]
    public async Task Hub_OnAFullFileSystem_SaysSoKeepsWhatItAcknowledgedAndGoesOnWithRoom()
    {
        using LoopDrive? drive = LoopDrive.Make("tmpfs", 28, out string why);
        if (drive is null)
        {
            Assert.Skip($"A small file system {why}.");
        }

        string data = Path.Combine(drive.Folder, "hub");
        string filler = Path.Combine(drive.Folder, "filler");

        // Once it goes there is more room than all that the hub wrote: recovery writes a torn segment anew before the old one goes.
        await File.WriteAllBytesAsync(filler, new byte[18 << 20], TestContext.Current.CancellationToken);
        ulong acknowledged;
        await using (RunningNode hub = await RunningNode.HubAsync(data))
        {
            acknowledged = await FillAsync(new Uri(hub.Address));
            Assert.True(acknowledged > 0);
            await hub.KillAsync();
        }

        // With room again it holds everything that it acknowledged.
        File.Delete(filler);
        await using RunningNode again = await RunningNode.HubAsync(data);
        using GrpcChannel channel = GrpcChannel.ForAddress(again.Address);
        ulong more = await PushAsync(channel, acknowledged + 1);
        GetStatusResponse status = await new OutlookService.OutlookServiceClient(channel).GetStatusAsync(new GetStatusRequest(), cancellationToken: TestContext.Current.CancellationToken);
        OriginStatus origin = status.Origins.Single(o => o.Origin.Node == Writer.Node.Value);

        Assert.True(more > acknowledged);
        Assert.Equal((1, 1UL, more, 0u), (origin.Ranges.Count, origin.Ranges[0].First, origin.Ranges[0].Last, (uint)origin.Forks));
    }

    /// <summary>Pushes until the hub refuses for want of room.</summary>
    private static async Task<ulong> FillAsync(Uri hub)
    {
        using GrpcChannel channel = GrpcChannel.ForAddress(hub);
        ulong acknowledged = 0;
        for (int push = 0; push < 1_000; push++)
        {
            try
            {
                acknowledged = await PushAsync(channel, acknowledged + 1);
            }
            catch (RpcException refusal)
            {
                Assert.NotEqual(StatusCode.Internal, refusal.StatusCode);
                Assert.Contains("space", refusal.Status.Detail, StringComparison.OrdinalIgnoreCase);
                return acknowledged;
            }
        }

        throw new InvalidOperationException("The file system never filled up.");
    }

    private static async Task<ulong> PushAsync(GrpcChannel channel, ulong first)
    {
        var request = new PushRequest { Origin = new Origin { Node = Writer.Node.Value, Epoch = Writer.Epoch }, FirstSequence = first };
        request.Encoded.AddRange(Enumerable.Range(0, Batch).Select(i => ByteString.CopyFrom(Report(first + (ulong)i))));
        PushResponse answer = await new MeshService.MeshServiceClient(channel).PushAsync(request, cancellationToken: TestContext.Current.CancellationToken);
        return answer.Durable.Ranges[0].Last;
    }

    /// <summary>Notes that no compression makes much smaller, the same for the same sequence.</summary>
    private static byte[] Report(ulong sequence)
    {
        Instant time = Instant.FromUtc(2027, 2, 10, 0, 0) + Duration.FromSeconds((long)sequence);
        var text = new System.Text.StringBuilder();
        for (int i = 0; i < 60; i++)
        {
            text.Append(Convert.ToBase64String(SHA256.HashData(BitConverter.GetBytes((sequence * 64) + (ulong)i))));
        }

        var body = new Domain.Reports.Note("keeper", null, text.ToString());
        return ReportCodec.Encode(HybridTime.From(time.ToUnixTimeMilliseconds(), 0), new Domain.Time.DeviceTime(time, new BootId(7), (long)sequence * 1_000_000_000), body);
    }
}
