using System.Net;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.Certificates;
using NodaTime;

namespace KitMesh.Hub.Enrolment;

/// <summary>What makes a hub a member of the trip and lets it take others in.</summary>
internal sealed class HubIdentity : IDisposable
{
    /// <summary>How long a trip root holds: two seasons.</summary>
    public static readonly Duration RootLength = Duration.FromDays(731);

    /// <summary>How long a device's certificate holds; a third before its end it is renewed.</summary>
    public static readonly Duration NodeLength = Duration.FromDays(180);

    private readonly X509Certificate2 _root;
    private readonly X509Certificate2? _issuer;
    private readonly ECDsa _issuingKey;
    private readonly Lock _signing = new();

    private HubIdentity(X509Certificate2 root, X509Certificate2? issuer, ECDsa issuingKey, X509Certificate2 certificate)
    {
        _root = root;
        _issuer = issuer;
        _issuingKey = issuingKey;
        Trust = new TripTrust(root);
        Self = new NodeIdentity(certificate, issuer is null ? [] : [issuer], Trust);
        Pin = KeyPin.Of(certificate);
    }

    /// <summary>The hub as a member: what it shows, and dials other hubs with.</summary>
    public NodeIdentity Self { get; }

    /// <summary>The trip root.</summary>
    public TripTrust Trust { get; }

    /// <summary>The pin of the hub's key; it stays the same over restarts.</summary>
    public Sha256Hash Pin { get; }

    /// <summary>Whether this hub signs with the trip root itself.</summary>
    public bool HoldsRoot => _issuer is null;

    /// <summary>The issuing certificate of a further hub, DER; empty when the root signs.</summary>
    public ReadOnlyMemory<byte> IssuerBytes => _issuer?.RawDataMemory ?? default;

    /// <summary>The trip root, DER.</summary>
    public ReadOnlyMemory<byte> RootBytes => _root.RawDataMemory;

    /// <summary>Opens a hub's identity; the first start of a trip's first hub makes the trip root.</summary>
    /// <param name="folder">Where it is kept.</param>
    /// <param name="node">The hub.</param>
    /// <param name="addresses">Addresses at which it answers.</param>
    /// <param name="now">Its wall clock.</param>
    /// <exception cref="HubStartException">It cannot be used.</exception>
    public static HubIdentity Open(HubIdentityFolder folder, NodeId node, IReadOnlyList<IPAddress> addresses, Instant now)
    {
        if (!folder.HasRoot)
        {
            MakeRoot(folder, now);
        }

        X509Certificate2 root = folder.ReadRoot();
        bool holdsRoot = folder.HoldsRootKey;
        X509Certificate2? issuer = holdsRoot ? null : folder.ReadIssuer();
        ECDsa issuingKey = holdsRoot ? folder.ReadRootKey() : folder.ReadIssuerKey();
        ECDsa? nodeKey = folder.ReadNodeKey();
        if (nodeKey is null)
        {
            nodeKey = ECDsa.Create(ECCurve.NamedCurves.nistP256);
            folder.SaveNodeKey(nodeKey);
        }

        try
        {
            if (issuer is not null && new TripTrust(root).Judge(issuer) is TrustVerdict.Member named && named.Node != node)
            {
                throw new HubStartException($"This data folder was enrolled as {named.Node}, not {node}. Start the hub with --node {named.Node}.");
            }

            // Browsers take no server certificate of more than 825 days; a year is plenty, since each start makes a new one.
            using X509Certificate2 bare = CertificateMaker.Node(
                issuer ?? root,
                issuingKey,
                node,
                MeshRoles.Hub | MeshRoles.Reader | MeshRoles.Writer,
                new PublicKey(nodeKey),
                addresses,
                CertificateTime.From(now, Duration.FromDays(365)),
                RandomNumberGenerator.GetBytes(CertificateMaker.SerialBytes));
            return new HubIdentity(root, issuer, issuingKey, bare.CopyWithPrivateKey(nodeKey));
        }
        catch (Exception failure) when (failure is CryptographicException or ArgumentException)
        {
            throw new HubStartException($"The identity in {folder.Location} does not fit together: {failure.Message}", failure);
        }
        finally
        {
            nodeKey.Dispose();
        }
    }

    /// <summary>Makes a node's certificate; for a hub its issuing certificate.</summary>
    /// <exception cref="InvalidOperationException">This hub may not give these roles.</exception>
    public X509Certificate2 Issue(NodeId node, MeshRoles roles, PublicKey key, Instant now)
    {
        if (!MayIssue(roles))
        {
            throw new InvalidOperationException("Only the hub that holds the trip root lets in keepers and hubs.");
        }

        byte[] serial = RandomNumberGenerator.GetBytes(CertificateMaker.SerialBytes);
        lock (_signing)
        {
            return roles.HasFlag(MeshRoles.Hub)
                ? CertificateMaker.Issuer(_root, _issuingKey, node, key, CertificateTime.From(now, RootLength), serial)
                : CertificateMaker.Node(_issuer ?? _root, _issuingKey, node, roles, key, [], CertificateTime.From(now, NodeLength), serial);
        }
    }

    /// <summary>Whether this hub may give these roles.</summary>
    public bool MayIssue(MeshRoles roles) => HoldsRoot || (roles & ~(MeshRoles.Writer | MeshRoles.Reader)) == MeshRoles.None;

    /// <inheritdoc/>
    public void Dispose()
    {
        Self.Dispose();
        _issuingKey.Dispose();
        _issuer?.Dispose();
        _root.Dispose();
    }

    private static void MakeRoot(HubIdentityFolder folder, Instant now)
    {
        using ECDsa key = ECDsa.Create(ECCurve.NamedCurves.nistP256);
        string trip = Convert.ToHexStringLower(RandomNumberGenerator.GetBytes(6));
        using X509Certificate2 root = CertificateMaker.Root(
            trip,
            key,
            CertificateTime.From(now, RootLength),
            RandomNumberGenerator.GetBytes(CertificateMaker.SerialBytes));
        folder.SaveRoot(root, key);
    }
}
