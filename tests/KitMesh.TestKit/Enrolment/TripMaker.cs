using System.Net;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.Certificates;
using NodaTime;

namespace KitMesh.TestKit.Enrolment;

/// <summary>A trip root with certificates of every sort under it, made in memory.</summary>
public sealed class TripMaker : IDisposable
{
    public static readonly Instant Now = Instant.FromUtc(2027, 2, 14, 18, 0);
    private byte _serial;

    public TripMaker(string trip = "test", Instant? now = null)
    {
        Root = CertificateMaker.Root(trip, RootKey, CertificateTime.From(now ?? Now, Duration.FromDays(731)), Serial());
        Trust = new TripTrust(Root);
    }

    public ECDsa RootKey { get; } = NewKey();

    public X509Certificate2 Root { get; }

    public TripTrust Trust { get; }

    public static ECDsa NewKey() => ECDsa.Create(ECCurve.NamedCurves.nistP256);

    public X509Certificate2 Node(string node, MeshRoles roles, ECDsa? key = null, Instant? now = null) => Node(Root, RootKey, node, roles, key, now);

    public X509Certificate2 Node(X509Certificate2 issuer, ECDsa issuerKey, string node, MeshRoles roles, ECDsa? key = null, Instant? now = null)
    {
        using ECDsa own = NewKey();
        return CertificateMaker.Node(
            issuer, issuerKey, NodeId.Parse(node), roles, new PublicKey(key ?? own), [IPAddress.Loopback], CertificateTime.From(now ?? Now, Duration.FromDays(180)), Serial());
    }

    public X509Certificate2 Issuer(string node, ECDsa key) =>
        CertificateMaker.Issuer(Root, RootKey, NodeId.Parse(node), new PublicKey(key), CertificateTime.From(Now, Duration.FromDays(731)), Serial());

    /// <summary>A certificate that the root really signed and that this software would never make.</summary>
    public X509Certificate2 Odd(string subject, Action<CertificateRequest> add, PublicKey? key = null, X509Certificate2? issuer = null, ECDsa? issuerKey = null)
    {
        using ECDsa own = NewKey();
        var request = new CertificateRequest(new X500DistinguishedName(subject), key ?? new PublicKey(own), HashAlgorithmName.SHA256);
        add(request);
        X509Certificate2 by = issuer ?? Root;
        return request.Create(by.SubjectName, X509SignatureGenerator.CreateForECDsa(issuerKey ?? RootKey), by.NotBefore, by.NotAfter, Serial());
    }

    public byte[] Serial()
    {
        byte[] serial = new byte[CertificateMaker.SerialBytes];
        serial[^1] = ++_serial;
        return serial;
    }

    public void Dispose()
    {
        Root.Dispose();
        RootKey.Dispose();
    }
}
