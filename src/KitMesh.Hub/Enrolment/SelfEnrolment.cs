using System.Security.Cryptography.X509Certificates;
using KitMesh.Domain;
using KitMesh.Domain.Reports;
using KitMesh.Hub.Ingest;
using KitMesh.Protocol.Certificates;

namespace KitMesh.Hub.Enrolment;

/// <summary>Reports the first hub's own certificate, so that the others know it as a hub whose revocations count.</summary>
internal static class SelfEnrolment
{
    public static async Task ReportAsync(HubIdentity identity, RightsBook rights, ReportIntake intake, CancellationToken cancellation)
    {
        X509Certificate2 own = identity.Self.Certificate;
        bool isKnown = rights.Members.TryGetValue(identity.Self.Member.Node, out EnrolledMember? known) && known.Pin == KeyPin.Of(own);
        if (!identity.HoldsRoot || isKnown)
        {
            return;
        }

        // Each start makes a certificate of the same key; the first is told, and any after the key changed.
        await intake.WriteAsync([new NodeEnrolled(identity.Self.Member.Node, ValueList.Create(own.RawDataMemory.Span), ValueList<byte>.Empty)], cancellation).ConfigureAwait(false);
    }
}
