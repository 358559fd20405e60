using System.Formats.Asn1;
using System.Net;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using KitMesh.Domain.Reports;

namespace KitMesh.Protocol.Certificates;

/// <summary>What stands where in a certificate of the mesh; docs/enrolment.md tells it all.</summary>
/// <remarks>
/// Problem: phones install the trip root, since browsers want trusted HTTPS, and a root that somebody steals could then
/// speak for any bank. Method: name constraints (RFC 5280 §4.2.1.10) keep it to names and addresses that only mean
/// something on a local network. Roles stand in the subject as the X.520 attribute <c>role</c> (2.5.4.72), so that any tool
/// that prints a certificate shows them and every hub can judge a device that it never heard of.
/// </remarks>
public static class CertificateProfile
{
    /// <summary>The end of every node's DNS name. <c>internal</c> is reserved for private use.</summary>
    public const string Domain = "kitmesh.internal";

    /// <summary>The largest certificate or request that is looked at, in bytes.</summary>
    public const int MaxBytes = 4_096;

    internal const string RoleOid = "2.5.4.72";
    internal const string NameConstraintsOid = "2.5.29.30";
    internal const string ClientAuthOid = "1.3.6.1.5.5.7.3.2";
    internal const string ServerAuthOid = "1.3.6.1.5.5.7.3.1";

    private const string EcPublicKeyOid = "1.2.840.10045.2.1";

    /// <summary>The object identifier of the curve P-256 (RFC 5480 §2.1.1.1), DER.</summary>
    private static readonly byte[] P256 = [0x06, 0x08, 0x2A, 0x86, 0x48, 0xCE, 0x3D, 0x03, 0x01, 0x07];

    private static readonly string[] PermittedNames = [Domain, "local", "localhost"];

    // RFC 1918, RFC 6598 (carrier-grade NAT of satellite terminals), RFC 3927, RFC 1122 loopback; RFC 4193, RFC 4291.
    private static readonly IPNetwork[] PermittedNetworks =
    [
        IPNetwork.Parse("10.0.0.0/8"), IPNetwork.Parse("172.16.0.0/12"), IPNetwork.Parse("192.168.0.0/16"), IPNetwork.Parse("100.64.0.0/10"),
        IPNetwork.Parse("169.254.0.0/16"), IPNetwork.Parse("127.0.0.0/8"), IPNetwork.Parse("fc00::/7"), IPNetwork.Parse("fe80::/10"), IPNetwork.Parse("::1/128"),
    ];

    /// <summary>Whether a hub's certificate may name an address: private ones only.</summary>
    /// <param name="address">The address.</param>
    public static bool MayName(IPAddress address)
    {
        ArgumentNullException.ThrowIfNull(address);
        return PermittedNetworks.Any(network => network.BaseAddress.AddressFamily == address.AddressFamily && network.Contains(address));
    }

    /// <summary>The DNS name of a node.</summary>
    /// <param name="node">The node.</param>
    public static string DnsName(NodeId node) => $"{node}.{Domain}";

    /// <summary>Whether a public key is what the mesh uses: ECDSA on P-256.</summary>
    /// <param name="key">The key.</param>
    public static bool IsMeshKey(PublicKey key)
    {
        ArgumentNullException.ThrowIfNull(key);

        // The curve is read before the key is: a platform throws at curves that it does not know.
        if (key.Oid.Value != EcPublicKeyOid || key.EncodedParameters?.RawData is not { } curve || !curve.AsSpan().SequenceEqual(P256))
        {
            return false;
        }

        try
        {
            using ECDsa? point = key.GetECDsaPublicKey();
            return point is not null;
        }
        catch (Exception odd) when (IsOddInput(odd))
        {
            return false;
        }
    }

    /// <summary>Whether an exception means that bytes of a stranger are odd. .NET throws several kinds at what it cannot read.</summary>
    /// <param name="odd">The exception.</param>
    public static bool IsOddInput(Exception odd) => odd is CryptographicException or NotSupportedException or ArgumentException or AsnContentException;

    internal static string Organization(string trip) => $"KitMesh trip {trip}";

    /// <summary>Encoded: organization, roles, common name. The builder writes what was added last first.</summary>
    internal static X500DistinguishedName Subject(string trip, string commonName, MeshRoles roles)
    {
        var name = new X500DistinguishedNameBuilder();
        name.AddCommonName(commonName);
        foreach (string role in RoleNames.Of(roles).Reverse())
        {
            name.Add(RoleOid, role, UniversalTagNumber.UTF8String);
        }

        name.AddOrganizationName(Organization(trip));
        return name.Build();
    }

    internal static X509Extension NameConstraints(string trip)
    {
        var organization = new X500DistinguishedNameBuilder();
        organization.AddOrganizationName(Organization(trip));
        var writer = new AsnWriter(AsnEncodingRules.DER);
        using (writer.PushSequence())
        using (writer.PushSequence(new Asn1Tag(TagClass.ContextSpecific, 0)))
        {
            foreach (string name in PermittedNames)
            {
                using (writer.PushSequence())
                {
                    writer.WriteCharacterString(UniversalTagNumber.IA5String, name, new Asn1Tag(TagClass.ContextSpecific, 2));
                }
            }

            foreach (IPNetwork network in PermittedNetworks)
            {
                using (writer.PushSequence())
                {
                    writer.WriteOctetString(AddressAndMask(network), new Asn1Tag(TagClass.ContextSpecific, 7));
                }
            }

            using (writer.PushSequence())
            using (writer.PushSequence(new Asn1Tag(TagClass.ContextSpecific, 4)))
            {
                writer.WriteEncodedValue(organization.Build().RawData);
            }
        }

        return new X509Extension(NameConstraintsOid, writer.Encode(), critical: true);
    }

    private static byte[] AddressAndMask(IPNetwork network)
    {
        byte[] address = network.BaseAddress.GetAddressBytes();
        byte[] both = new byte[address.Length * 2];
        address.CopyTo(both, 0);
        for (int bit = 0; bit < network.PrefixLength; bit++)
        {
            both[address.Length + (bit / 8)] |= (byte)(0x80 >> (bit % 8));
        }

        return both;
    }
}
