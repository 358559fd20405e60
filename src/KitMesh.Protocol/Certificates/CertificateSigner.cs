using System.Security.Cryptography;
using KitMesh.Domain.Reports;

namespace KitMesh.Protocol.Certificates;

/// <summary>Signs seals with the key of this node's certificate: ECDSA on P-256 with SHA-256 (FIPS 186-5), r ‖ s in 64 bytes (IEEE P1363).</summary>
/// <param name="identity">The identity now: it is renewed while the node runs; the key stays.</param>
public sealed class CertificateSigner(Func<NodeIdentity> identity) : ISealSigner
{
    /// <inheritdoc/>
    public byte[] Sign(ReadOnlySpan<byte> message)
    {
        using ECDsa key = System.Security.Cryptography.X509Certificates.ECDsaCertificateExtensions.GetECDsaPrivateKey(identity().Certificate)
            ?? throw new InvalidOperationException("An identity has a key.");
        return key.SignData(message, HashAlgorithmName.SHA256, DSASignatureFormat.IeeeP1363FixedFieldConcatenation);
    }
}
