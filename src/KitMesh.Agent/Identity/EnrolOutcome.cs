using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using KitMesh.Protocol.Certificates;

namespace KitMesh.Agent.Identity;

/// <summary>How an attempt to join ended. The set is closed.</summary>
public abstract record EnrolOutcome
{
    private EnrolOutcome()
    {
    }

    /// <summary>The device is let in.</summary>
    /// <param name="Key">Its key.</param>
    /// <param name="Certificate">Its certificate.</param>
    /// <param name="Issuer">The certificate's issuer; null when the trip root issued it.</param>
    /// <param name="Root">The trip root.</param>
    /// <param name="Member">Whom the certificate names.</param>
    public sealed record Enrolled(ECDsa Key, X509Certificate2 Certificate, X509Certificate2? Issuer, X509Certificate2 Root, TrustVerdict.Member Member) : EnrolOutcome;

    /// <summary>The hub, or this device, said no.</summary>
    /// <param name="Words">Why and what to do.</param>
    public sealed record Refused(string Words) : EnrolOutcome;

    /// <summary>No hub answers.</summary>
    /// <param name="Words">What the system said.</param>
    public sealed record Unreachable(string Words) : EnrolOutcome;
}
