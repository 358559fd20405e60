using Google.Protobuf;
using Google.Protobuf.WellKnownTypes;
using KitMesh.Cli.Frame;
using KitMesh.Domain;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Protocol;
using KitMesh.Protocol.Exchange;
using KitMesh.Protocol.Reports;
using KitMesh.Protocol.V1;
using DeviceTime = KitMesh.Domain.Time.DeviceTime;
using OriginSealed = KitMesh.Domain.Reports.OriginSealed;

namespace KitMesh.Cli.Asking;

/// <summary>Writes what a person says as reports of an origin of their own, and hands them to a hub.</summary>
/// <remarks>
/// Every run is a journal that begins and ends: a new epoch, sequences from 1. Nothing is kept here, so that a report counts
/// as written only when the hub answers that it is durable. Its last report is a seal, so that other hubs can tell whose word
/// it is.
/// </remarks>
internal sealed class ReportPen(HubClient hub, Surroundings surroundings, NodeId node)
{
    /// <summary>Writes reports, one after another.</summary>
    /// <param name="bodies">What is said.</param>
    /// <returns>What the hub found odd about them.</returns>
    /// <exception cref="CommandFault">They are not durable: nothing was written.</exception>
    public async Task<IReadOnlyList<string>> WriteAsync(params ReportBody[] bodies)
    {
        var origin = new OriginId(node, surroundings.Ids());
        var request = new PushRequest
        {
            Origin = OriginCodec.Write(origin),
            FirstSequence = 1,
            Clock = ClockCodec.Write(surroundings.Device.Read()),
            ClockTrust = ClockCodec.Write(surroundings.Device.Trust),
        };
        Sha256Hash chain = ReportChain.Seed(origin);
        foreach (ReportBody body in bodies)
        {
            byte[] bytes = Encode(request, body);
            chain = ReportChain.Next(chain, (ulong)request.Encoded.Count, bytes);
        }

        if (hub.Signer is { } signer)
        {
            var last = (ulong)bodies.Length;
            Encode(request, new OriginSealed(last, chain, ValueList.Create<byte>(signer.Sign(SealMessage.Of(origin, last, chain)))));
        }

        PushResponse answer = await hub.PushAsync(request);
        return answer.Added == request.Encoded.Count
            ? [.. answer.Remarks]
            : throw new CommandFault(ExitCode.Internal, $"The hub took {answer.Added} of {request.Encoded.Count} reports.", "Look with kitmesh ledger what stands there before you try again.");
    }

    private byte[] Encode(PushRequest request, ReportBody body)
    {
        DeviceTime now = surroundings.Device.Read();
        byte[] bytes = ReportCodec.Encode(HybridTime.From(now.Wall.ToUnixTimeMilliseconds(), (ushort)request.Encoded.Count), now, body);
        request.Encoded.Add(ByteString.CopyFrom(bytes));
        return bytes;
    }
}
