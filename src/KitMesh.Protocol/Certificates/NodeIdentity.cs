using System.Net.Security;
using System.Security.Authentication;
using System.Security.Cryptography.X509Certificates;
using KitMesh.Domain.Reports;

namespace KitMesh.Protocol.Certificates;

/// <summary>Who a node is: its certificate with the key, what leads to the root, and the root that it trusts.</summary>
/// <remarks>The same for agents, commands and hubs: whoever dials a hub does it with a handler from here.</remarks>
public sealed class NodeIdentity : IDisposable
{
    private readonly X509Certificate2Collection _issuers;

    /// <summary>An identity. It owns the certificate.</summary>
    /// <param name="certificate">The node's certificate, with its key.</param>
    /// <param name="issuers">What leads to the root; empty when the root issued it.</param>
    /// <param name="trust">The trip root.</param>
    /// <param name="isRevoked">Hubs that are no longer trusted; null when nobody told of any.</param>
    /// <exception cref="ArgumentException">The certificate is not of this trip.</exception>
    public NodeIdentity(X509Certificate2 certificate, X509Certificate2Collection issuers, TripTrust trust, Func<NodeId, bool>? isRevoked = null)
    {
        ArgumentNullException.ThrowIfNull(certificate);
        ArgumentNullException.ThrowIfNull(trust);
        Member = trust.Judge(certificate, issuers) switch
        {
            TrustVerdict.Member member => member,
            TrustVerdict.Foreign foreign => throw new ArgumentException(foreign.Words, nameof(certificate)),
            _ => throw new InvalidOperationException("A certificate is of this mesh or not."),
        };
        Certificate = certificate;
        Trust = trust;
        _issuers = issuers;
        IsRevoked = isRevoked ?? (static _ => false);
        Shown = SslStreamCertificateContext.Create(certificate, issuers, offline: true);
    }

    /// <summary>The certificate with its key.</summary>
    public X509Certificate2 Certificate { get; }

    /// <summary>What leads to the root.</summary>
    public X509Certificate2Collection Issuers => _issuers;

    /// <summary>What a TLS handshake shows.</summary>
    public SslStreamCertificateContext Shown { get; }

    /// <summary>The trip root.</summary>
    public TripTrust Trust { get; }

    /// <summary>Whom the certificate names, and what it may do.</summary>
    public TrustVerdict.Member Member { get; }

    /// <summary>Hubs that are no longer trusted. A hub sets it to what it hears.</summary>
    public Func<NodeId, bool> IsRevoked { get; set; }

    /// <summary>A handler that dials hubs of this trip over TLS 1.3 and shows the certificate. The caller disposes it.</summary>
    /// <param name="met">Told whom a connection reached, before anything is sent: what its hello must say.</param>
    public SocketsHttpHandler CreateHandler(Action<TrustVerdict.Member>? met = null) => new()
    {
        AllowAutoRedirect = false,
        UseProxy = false,
        SslOptions = new SslClientAuthenticationOptions
        {
            EnabledSslProtocols = SslProtocols.Tls13,

            // Resumed, a hub under another one could not be judged: its issuer's certificate is not shown again.
            AllowTlsResume = false,
            ClientCertificateContext = Shown,
            CertificateChainPolicy = Trust.Policy(),

            // Names and time are not asked: addresses change from camp to camp, and this device's clock may say 1970.
            RemoteCertificateValidationCallback = (_, shown, chain, _) => IsHub(shown, chain, met),
        },
    };

    /// <inheritdoc/>
    public void Dispose() => Certificate.Dispose();

    private bool IsHub(X509Certificate? shown, X509Chain? chain, Action<TrustVerdict.Member>? met)
    {
        if (shown is not X509Certificate2 certificate
            || Trust.Judge(certificate, chain?.ChainPolicy.ExtraStore) is not TrustVerdict.Member member
            || !member.Roles.HasFlag(MeshRoles.Hub)
            || IsRevoked(member.Node)
            || (member.Issuer is { } issuer && IsRevoked(issuer)))
        {
            return false;
        }

        met?.Invoke(member);
        return true;
    }
}
