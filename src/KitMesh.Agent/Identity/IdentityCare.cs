using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using Google.Protobuf;
using Grpc.Core;
using Grpc.Net.Client;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.Certificates;
using KitMesh.Protocol.V1;

namespace KitMesh.Agent.Identity;

/// <summary>Keeps an identity fresh: asks a hub twice a day whether the certificate should be renewed and who was revoked.</summary>
/// <remarks>
/// The hub judges when it is time, since this device's clock may say 1970. The key stays the same, so that what it signed
/// before stays its own. A hub that is up for one hour a day is asked in that hour: the pause is counted from the last answer.
/// </remarks>
public sealed class IdentityCare : IDisposable
{
    private static readonly TimeSpan Every = TimeSpan.FromHours(12);
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(30);
    private readonly IdentityFolder _folder;
    private readonly TimeProvider _machine;
    private readonly List<NodeIdentity> _old = [];
    private NodeIdentity _identity;
    private long? _answered;

    /// <summary>Care for an identity; it owns it from now on.</summary>
    /// <param name="folder">Where it is kept.</param>
    /// <param name="identity">The identity.</param>
    /// <param name="machine">Machine time.</param>
    public IdentityCare(IdentityFolder folder, NodeIdentity identity, TimeProvider machine)
    {
        _folder = folder;
        _identity = identity;
        _machine = machine;
    }

    /// <summary>The identity now.</summary>
    public NodeIdentity Identity => _identity;

    /// <summary>Whether it is time to ask.</summary>
    public bool IsTime => _answered is not { } answered || _machine.GetElapsedTime(answered) >= Every;

    /// <summary>Asks a hub.</summary>
    /// <param name="channel">A channel that shows the certificate.</param>
    /// <param name="now">True to get a new certificate although the old one holds for long.</param>
    /// <param name="stop">Gives up.</param>
    /// <returns>Words for a person when something changed or went wrong; else null.</returns>
    public async Task<string?> AskAsync(GrpcChannel channel, bool now, CancellationToken stop)
    {
        using var patience = new CancellationTokenSource(Patience, _machine);
        using var either = CancellationTokenSource.CreateLinkedTokenSource(stop, patience.Token);
        try
        {
            using ECDsa key = _identity.Certificate.GetECDsaPrivateKey()!;
            byte[] request = new CertificateRequest("CN=kitmesh", key, HashAlgorithmName.SHA256).CreateSigningRequest();
            RenewResponse answer = await new EnrolService.EnrolServiceClient(channel)
                .RenewAsync(new RenewRequest { Request = ByteString.CopyFrom(request), Now = now }, cancellationToken: either.Token)
                .ConfigureAwait(false);
            _answered = _machine.GetTimestamp();
            return Take(answer, key);
        }
        catch (Exception failure) when (failure is RpcException or IOException or CryptographicException or ArgumentException or UnauthorizedAccessException
            || (failure is OperationCanceledException && !stop.IsCancellationRequested))
        {
            // The present certificate goes on; the next session asks again.
            return $"The certificate was not renewed: {(failure is RpcException rpc ? rpc.Status.Detail : failure.Message)}";
        }
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        _identity.Dispose();
        _old.ForEach(old => old.Dispose());
    }

    private string? Take(RenewResponse answer, ECDsa key)
    {
        HashSet<NodeId> revoked = [];
        foreach (string name in answer.RevokedNodes.Take(10_000))
        {
            if (NodeId.TryParse(name, out NodeId node))
            {
                revoked.Add(node);
            }
        }

        bool listMoved = !revoked.SetEquals(_folder.ReadRevoked());
        if (listMoved)
        {
            _folder.SaveRevoked(revoked);
        }

        if (answer.Certificate.IsEmpty)
        {
            if (listMoved && _folder.TryLoad(out NodeIdentity? same, out _))
            {
                Replace(same);
            }

            return null;
        }

        using X509Certificate2 certificate = X509CertificateLoader.LoadCertificate(answer.Certificate.Span);
        X509Certificate2? issuer = answer.Issuer.IsEmpty ? null : X509CertificateLoader.LoadCertificate(answer.Issuer.Span);
        var fresh = new NodeIdentity(certificate.CopyWithPrivateKey(key), issuer is null ? [] : [issuer], _identity.Trust, revoked.Contains);
        if (fresh.Member.Node != _identity.Member.Node)
        {
            fresh.Dispose();
            throw new CryptographicException("The hub sent a certificate for another node.");
        }

        _folder.SaveCertificate(certificate, issuer);
        Replace(fresh);
        return $"The certificate of {fresh.Member.Node} was renewed.";
    }

    private void Replace(NodeIdentity fresh)
    {
        // A session that is under way may still show the old one.
        _old.Add(_identity);
        _identity = fresh;
    }
}
