using System.Security.Cryptography.X509Certificates;
using KitMesh.Domain;
using KitMesh.Domain.Reports;
using KitMesh.Hub.Ingest;
using KitMesh.Protocol.Certificates;

namespace KitMesh.Hub.Enrolment;

/// <summary>Reports this hub's own certificate, so that the others know the first hub as a hub whose revocations count, and the key that each seals with.</summary>
internal static class SelfEnrolment
{
    public static async Task ReportAsync(HubIdentity identity, RightsBook rights, ReportIntake intake, CancellationToken cancellation)
    {
        X509Certificate2 own = identity.Self.Certificate;
        if (rights.Keys.Knows(identity.Self.Member.Node, KeyPin.Of(own)))
        {
            return;
        }

        // Each start makes a certificate of the same key; the first is told, and any after the key changed.
        await intake.WriteAsync([new NodeEnrolled(identity.Self.Member.Node, ValueList.Create(own.RawDataMemory.Span), ValueList.Create(identity.IssuerBytes.Span))], cancellation).ConfigureAwait(false);
    }
}
