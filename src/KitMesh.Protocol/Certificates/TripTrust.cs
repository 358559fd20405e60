using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using KitMesh.Domain.Reports;

namespace KitMesh.Protocol.Certificates;

/// <summary>Judges certificates against one trip root.</summary>
/// <remarks>
/// Problem: devices wake with a clock of 1970, hubs may lack a clock too, and a certificate must still be judged. Method:
/// signatures, path length, name constraints and roles are judged here, without any time; whoever has a clock that can be
/// believed judges the time span for itself (<see cref="CertificateTime"/>).
/// Trap: a further hub that was stolen holds an issuing key. So what it issues counts only for writers and readers, and for
/// its own name; keepers and hubs come from the root alone.
/// </remarks>
public sealed class TripTrust
{
    private const MeshRoles MayBePassedOn = MeshRoles.Writer | MeshRoles.Reader;

    /// <summary>Trust in a trip root.</summary>
    /// <param name="root">The root's certificate.</param>
    /// <exception cref="CryptographicException">It is no trip root.</exception>
    public TripTrust(X509Certificate2 root)
    {
        ArgumentNullException.ThrowIfNull(root);
        if (CertificateMaker.TripOf(root).Length == 0 || !CertificateProfile.IsMeshKey(root.PublicKey) || !IsAuthority(root))
        {
            throw new CryptographicException("This certificate is no trip root.");
        }

        Root = root;
    }

    /// <summary>The trip root.</summary>
    public X509Certificate2 Root { get; }

    /// <summary>The trip's name in its certificates.</summary>
    public string Trip => CertificateMaker.TripOf(Root);

    /// <summary>Judges a node's certificate, or the issuing certificate of a hub.</summary>
    /// <param name="certificate">The certificate.</param>
    /// <param name="others">What came with it; may hold the issuer.</param>
    public TrustVerdict Judge(X509Certificate2 certificate, X509Certificate2Collection? others = null)
    {
        ArgumentNullException.ThrowIfNull(certificate);
        if (certificate.RawDataMemory.Length > CertificateProfile.MaxBytes || !CertificateProfile.IsMeshKey(certificate.PublicKey))
        {
            return new TrustVerdict.Foreign("Its key or size is not of this mesh.");
        }

        using var chain = new X509Chain();
        X509ChainPolicy policy = chain.ChainPolicy = Policy();
        foreach (X509Certificate2 other in (others ?? []).Take(4).Where(other => other.RawDataMemory.Length <= CertificateProfile.MaxBytes))
        {
            policy.ExtraStore.Add(other);
        }

        try
        {
            return chain.Build(certificate)
                ? Read(certificate, chain)
                : new TrustVerdict.Foreign($"It does not lead to the root of trip {Trip}.");
        }
        catch (Exception odd) when (CertificateProfile.IsOddInput(odd))
        {
            return new TrustVerdict.Foreign("It cannot be read.");
        }
    }

    /// <summary>How chains are built: to this root alone, without a clock, and never by asking addresses that a certificate names.</summary>
    public X509ChainPolicy Policy() => new()
    {
        TrustMode = X509ChainTrustMode.CustomRootTrust,
        CustomTrustStore = { Root },
        RevocationMode = X509RevocationMode.NoCheck,
        DisableCertificateDownloads = true,
        VerificationFlags = X509VerificationFlags.IgnoreNotTimeValid,
    };

    private TrustVerdict Read(X509Certificate2 certificate, X509Chain chain)
    {
        int length = chain.ChainElements.Count;
        if (length is < 2 or > 3 || !chain.ChainElements[^1].Certificate.RawDataMemory.Span.SequenceEqual(Root.RawDataMemory.Span))
        {
            return new TrustVerdict.Foreign($"It does not lead to the root of trip {Trip}.");
        }

        if (Named(certificate) is not { } self)
        {
            return new TrustVerdict.Foreign("It names no node.");
        }

        NodeId? issuer = null;
        if (length == 3)
        {
            if (Named(chain.ChainElements[1].Certificate) is not { Roles: MeshRoles.Hub } hub)
            {
                return new TrustVerdict.Foreign("Its issuer is no hub.");
            }

            issuer = hub.Node;
            MeshRoles allowed = self.Node == hub.Node ? MayBePassedOn | MeshRoles.Hub : MayBePassedOn;
            if ((self.Roles & ~allowed) != MeshRoles.None)
            {
                return new TrustVerdict.Foreign($"{hub.Node} may let in writers and readers only.");
            }
        }

        return new TrustVerdict.Member(self.Node, self.Roles, issuer, new CertificateSpan(certificate.NotBefore, certificate.NotAfter));
    }

    private static (NodeId Node, MeshRoles Roles)? Named(X509Certificate2 certificate)
    {
        IReadOnlyList<string> names = SubjectNames.Of(certificate.SubjectName, SubjectNames.CommonNameOid);
        if (names.Count != 1
            || !NodeId.TryParse(names[0], out NodeId node)
            || !RoleNames.TryParse(SubjectNames.Of(certificate.SubjectName, CertificateProfile.RoleOid), out MeshRoles roles, out _))
        {
            return null;
        }

        if (IsAuthority(certificate))
        {
            return (node, roles);
        }

        // The subject alternative name is what name constraints hold; a common name that says otherwise is no node's.
        string dns = CertificateProfile.DnsName(node);
        bool agrees = certificate.Extensions.OfType<X509SubjectAlternativeNameExtension>().Any(names => names.EnumerateDnsNames().Contains(dns, StringComparer.Ordinal));
        return agrees ? (node, roles) : null;
    }

    private static bool IsAuthority(X509Certificate2 certificate) =>
        certificate.Extensions.OfType<X509BasicConstraintsExtension>().Any(constraints => constraints.CertificateAuthority);
}
