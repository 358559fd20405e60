using System.Net;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using KitMesh.Domain.Reports;

namespace KitMesh.Protocol.Certificates;

/// <summary>Makes the three kinds of certificate of a mesh: the trip root, a further hub's issuer, a node's own.</summary>
/// <remarks>Keys are ECDSA on P-256, signatures ECDSA with SHA-256; serial numbers are 16 random bytes that the caller draws.</remarks>
public static class CertificateMaker
{
    /// <summary>Bytes of a serial number.</summary>
    public const int SerialBytes = 16;

    /// <summary>A trip root, self-signed and name-constrained; at most one issuer may stand between it and a node.</summary>
    /// <param name="trip">Names the trip: a few random letters.</param>
    /// <param name="key">Its key.</param>
    /// <param name="span">How long it holds.</param>
    /// <param name="serial">16 random bytes.</param>
    public static X509Certificate2 Root(string trip, ECDsa key, CertificateSpan span, ReadOnlySpan<byte> serial)
    {
        X500DistinguishedName subject = CertificateProfile.Subject(trip, $"KitMesh trip root {trip}", MeshRoles.None);
        var request = new CertificateRequest(subject, key, HashAlgorithmName.SHA256);
        AddAuthority(request, trip, pathLength: 1);
        return request.Create(subject, X509SignatureGenerator.CreateForECDsa(key), span.From, span.Until, Serial(serial));
    }

    /// <summary>The certificate by which a further hub lets writers and readers in and names itself.</summary>
    /// <param name="root">The trip root.</param>
    /// <param name="rootKey">Its key.</param>
    /// <param name="node">The hub.</param>
    /// <param name="key">The hub's issuing key.</param>
    /// <param name="span">How long it holds.</param>
    /// <param name="serial">16 random bytes.</param>
    public static X509Certificate2 Issuer(X509Certificate2 root, ECDsa rootKey, NodeId node, PublicKey key, CertificateSpan span, ReadOnlySpan<byte> serial)
    {
        ArgumentNullException.ThrowIfNull(root);
        string trip = TripOf(root);
        var request = new CertificateRequest(CertificateProfile.Subject(trip, node.Value, MeshRoles.Hub), key, HashAlgorithmName.SHA256);
        AddAuthority(request, trip, pathLength: 0);
        return Sign(request, root, rootKey, span, serial);
    }

    /// <summary>A node's certificate.</summary>
    /// <param name="issuer">Who issues it.</param>
    /// <param name="issuerKey">The issuer's key.</param>
    /// <param name="node">The node.</param>
    /// <param name="roles">What it may do.</param>
    /// <param name="key">The node's key.</param>
    /// <param name="addresses">Addresses at which a hub answers; private ones are named.</param>
    /// <param name="span">How long it holds; cut to the issuer's.</param>
    /// <param name="serial">16 random bytes.</param>
    public static X509Certificate2 Node(
        X509Certificate2 issuer,
        ECDsa issuerKey,
        NodeId node,
        MeshRoles roles,
        PublicKey key,
        IEnumerable<IPAddress> addresses,
        CertificateSpan span,
        ReadOnlySpan<byte> serial)
    {
        ArgumentNullException.ThrowIfNull(issuer);
        bool isHub = roles.HasFlag(MeshRoles.Hub);
        var request = new CertificateRequest(CertificateProfile.Subject(TripOf(issuer), node.Value, roles), key, HashAlgorithmName.SHA256);
        request.CertificateExtensions.Add(new X509BasicConstraintsExtension(certificateAuthority: false, hasPathLengthConstraint: false, 0, critical: true));
        request.CertificateExtensions.Add(new X509KeyUsageExtension(X509KeyUsageFlags.DigitalSignature, critical: true));
        OidCollection usages = [new Oid(CertificateProfile.ClientAuthOid)];
        if (isHub)
        {
            usages.Add(new Oid(CertificateProfile.ServerAuthOid));
        }

        request.CertificateExtensions.Add(new X509EnhancedKeyUsageExtension(usages, critical: false));
        request.CertificateExtensions.Add(new X509SubjectKeyIdentifierExtension(key, critical: false));
        request.CertificateExtensions.Add(Names(node, isHub, addresses));
        return Sign(request, issuer, issuerKey, span, serial);
    }

    /// <summary>The name of the trip that a certificate belongs to; empty when it is of no mesh.</summary>
    /// <param name="certificate">The certificate.</param>
    public static string TripOf(X509Certificate2 certificate)
    {
        ArgumentNullException.ThrowIfNull(certificate);
        string organization = SubjectNames.Of(certificate.SubjectName, SubjectNames.OrganizationOid).FirstOrDefault() ?? "";
        string start = CertificateProfile.Organization("");
        return organization.StartsWith(start, StringComparison.Ordinal) ? organization[start.Length..] : "";
    }

    private static X509Certificate2 Sign(CertificateRequest request, X509Certificate2 issuer, ECDsa issuerKey, CertificateSpan span, ReadOnlySpan<byte> serial)
    {
        request.CertificateExtensions.Add(X509AuthorityKeyIdentifierExtension.CreateFromCertificate(issuer, includeKeyIdentifier: true, includeIssuerAndSerial: false));
        DateTimeOffset earliest = issuer.NotBefore;
        DateTimeOffset latest = issuer.NotAfter;
        DateTimeOffset from = span.From < earliest ? earliest : span.From;
        DateTimeOffset until = span.Until > latest ? latest : span.Until;
        if (from >= until)
        {
            // The wall clock is before the issuer's beginning or past its end, so it is wrong.
            (from, until) = (earliest, latest);
        }

        return request.Create(issuer.SubjectName, X509SignatureGenerator.CreateForECDsa(issuerKey), from, until, Serial(serial));
    }

    private static void AddAuthority(CertificateRequest request, string trip, int pathLength)
    {
        request.CertificateExtensions.Add(new X509BasicConstraintsExtension(certificateAuthority: true, hasPathLengthConstraint: true, pathLength, critical: true));
        request.CertificateExtensions.Add(new X509KeyUsageExtension(X509KeyUsageFlags.KeyCertSign | X509KeyUsageFlags.CrlSign, critical: true));
        request.CertificateExtensions.Add(new X509SubjectKeyIdentifierExtension(request.PublicKey, critical: false));
        request.CertificateExtensions.Add(CertificateProfile.NameConstraints(trip));
    }

    private static X509Extension Names(NodeId node, bool isHub, IEnumerable<IPAddress> addresses)
    {
        var names = new SubjectAlternativeNameBuilder();
        names.AddDnsName(CertificateProfile.DnsName(node));
        if (isHub)
        {
            names.AddDnsName($"{node}.local");
            names.AddDnsName("localhost");
            foreach (IPAddress address in addresses.Where(CertificateProfile.MayName).Distinct().Take(32))
            {
                names.AddIpAddress(address);
            }
        }

        return names.Build();
    }

    /// <summary>A positive number (RFC 5280 §4.1.2.2).</summary>
    private static byte[] Serial(ReadOnlySpan<byte> random)
    {
        ArgumentOutOfRangeException.ThrowIfNotEqual(random.Length, SerialBytes);
        byte[] serial = random.ToArray();
        serial[0] = (byte)((serial[0] & 0x7F) | 0x40);
        return serial;
    }
}
