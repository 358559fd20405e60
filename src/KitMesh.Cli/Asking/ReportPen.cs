using Google.Protobuf;
using Google.Protobuf.WellKnownTypes;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Protocol;
using KitMesh.Protocol.Exchange;
using KitMesh.Protocol.Reports;
using KitMesh.Protocol.V1;
using DeviceTime = KitMesh.Domain.Time.DeviceTime;
using Report = KitMesh.Domain.Reports.Report;

namespace KitMesh.Cli.Asking;

/// <summary>Writes what a person says as reports of an origin of their own, and hands them to a hub.</summary>
/// <remarks>
/// Every run is a journal that begins and ends: a new epoch, sequences from 1. Nothing is kept here, so that a report counts
/// as written only when the hub answers that it is durable.
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
        for (int i = 0; i < bodies.Length; i++)
        {
            DeviceTime now = surroundings.Device.Read();
            var report = new Report(
                new ReportKey(origin, (ulong)i + 1), HybridTime.From(now.Wall.ToUnixTimeMilliseconds(), (ushort)i), now, bodies[i]);
            request.Encoded.Add(ByteString.CopyFrom(ReportCodec.Encode(report)));
        }

        PushResponse answer = await hub.PushAsync(request);
        return answer.Added == bodies.Length
            ? [.. answer.Remarks]
            : throw new CommandFault(ExitCode.Internal, $"The hub took {answer.Added} of {bodies.Length} reports.", "Look with kitmesh ledger what stands there before you try again.");
    }
}
