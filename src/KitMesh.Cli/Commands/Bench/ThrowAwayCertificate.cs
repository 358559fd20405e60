using System.Net;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using NodaTime;

namespace KitMesh.Cli.Commands.Bench;

/// <summary>A certificate for one measurement on loopback.</summary>
internal static class ThrowAwayCertificate
{
    /// <summary>Makes one that is good for a day.</summary>
    /// <param name="now">The time.</param>
    public static X509Certificate2 Make(Instant now)
    {
        using ECDsa key = ECDsa.Create(ECCurve.NamedCurves.nistP256);
        var request = new CertificateRequest("CN=kitmesh bench", key, HashAlgorithmName.SHA256);
        var names = new SubjectAlternativeNameBuilder();
        names.AddIpAddress(IPAddress.Loopback);
        request.CertificateExtensions.Add(names.Build());
        return request.CreateSelfSigned((now - Duration.FromDays(1)).ToDateTimeOffset(), (now + Duration.FromDays(1)).ToDateTimeOffset());
    }
}
