using System.Security.Cryptography.X509Certificates;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.Certificates;

namespace KitMesh.Agent.Identity;

/// <summary>What a server showed in a TLS handshake.</summary>
/// <param name="Pin">The pin of its key.</param>
/// <param name="Certificate">Its certificate.</param>
/// <param name="Others">What came with it.</param>
internal sealed record ShownKey(Sha256Hash Pin, X509Certificate2 Certificate, X509Certificate2Collection Others) : IDisposable
{
    /// <summary>Copies, since the handshake disposes its own.</summary>
    public static ShownKey Of(X509Certificate2 certificate, X509Chain? chain)
    {
        var others = new X509Certificate2Collection();
        foreach (X509Certificate2 other in (chain?.ChainPolicy.ExtraStore ?? []).Take(4))
        {
            others.Add(X509CertificateLoader.LoadCertificate(other.RawDataMemory.Span));
        }

        return new ShownKey(KeyPin.Of(certificate), X509CertificateLoader.LoadCertificate(certificate.RawDataMemory.Span), others);
    }

    public void Dispose()
    {
        Certificate.Dispose();
        foreach (X509Certificate2 other in Others)
        {
            other.Dispose();
        }
    }
}
