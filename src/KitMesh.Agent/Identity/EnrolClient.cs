using System.Net.Security;
using System.Net.Sockets;
using System.Security.Authentication;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using Google.Protobuf;
using Grpc.Core;
using Grpc.Net.Client;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.Certificates;
using KitMesh.Protocol.V1;

namespace KitMesh.Agent.Identity;

/// <summary>Joins a mesh with a one-time code.</summary>
/// <remarks>
/// Method: (1) look at the hub's key; with a pin from the picture it must be that one; (2) send a request for a certificate
/// with a proof that covers the code and that key; (3) believe the answer only when the hub's proof covers the same key and
/// everything it sent, and when the key that it showed leads to the root that it sent. The device's clock is not asked.
/// </remarks>
public sealed class EnrolClient
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(30);
    private readonly Uri _hub;
    private readonly Sha256Hash? _pin;

    /// <summary>A client for one hub.</summary>
    /// <param name="hub">Its address, https.</param>
    /// <param name="pin">The pin of its key, from the picture; null when only a code was typed.</param>
    public EnrolClient(Uri hub, Sha256Hash? pin)
    {
        _hub = hub;
        _pin = pin;
    }

    /// <summary>Joins.</summary>
    /// <param name="code">The code.</param>
    /// <param name="machine">Machine time.</param>
    /// <param name="stop">Gives up.</param>
    public async Task<EnrolOutcome> EnrolAsync(EnrolCode code, TimeProvider machine, CancellationToken stop)
    {
        ArgumentNullException.ThrowIfNull(code);
        ArgumentNullException.ThrowIfNull(machine);
        using var patience = new CancellationTokenSource(Patience, machine);
        using var either = CancellationTokenSource.CreateLinkedTokenSource(stop, patience.Token);
        try
        {
            using ShownKey shown = await LookAsync(either.Token).ConfigureAwait(false);
            return _pin is { } pin && pin != shown.Pin
                ? new EnrolOutcome.Refused($"{_hub} has another key than the picture says. Somebody may stand between, or the hub was set up anew: nothing was sent. Ask for a new picture.")
                : await AskAsync(code, shown, either.Token).ConfigureAwait(false);
        }
        catch (OperationCanceledException) when (!stop.IsCancellationRequested)
        {
            return new EnrolOutcome.Unreachable($"{_hub} did not answer within {Patience.TotalSeconds:0} s.");
        }
        catch (Exception failure) when (failure is SocketException or IOException or AuthenticationException or HttpRequestException)
        {
            return new EnrolOutcome.Unreachable($"{_hub}: {failure.Message}");
        }
    }

    private async Task<ShownKey> LookAsync(CancellationToken stop)
    {
        using var client = new TcpClient();
        await client.ConnectAsync(_hub.Host.Trim('[', ']'), _hub.Port, stop).ConfigureAwait(false);
        ShownKey? shown = null;
        await using var tls = new SslStream(client.GetStream(), leaveInnerStreamOpen: false);
        var options = new SslClientAuthenticationOptions
        {
            TargetHost = _hub.Host,
            EnabledSslProtocols = SslProtocols.Tls13,
            CertificateRevocationCheckMode = X509RevocationMode.NoCheck,
            RemoteCertificateValidationCallback = (_, certificate, chain, _) =>
            {
                shown = certificate is X509Certificate2 known ? ShownKey.Of(known, chain) : null;
                return shown is not null;
            },
        };
        await tls.AuthenticateAsClientAsync(options, stop).ConfigureAwait(false);
        return shown ?? throw new AuthenticationException("The hub showed no certificate.");
    }

    private async Task<EnrolOutcome> AskAsync(EnrolCode code, ShownKey shown, CancellationToken stop)
    {
        using var handler = new SocketsHttpHandler
        {
            UseProxy = false,
            SslOptions = new SslClientAuthenticationOptions
            {
                EnabledSslProtocols = SslProtocols.Tls13,
                CertificateRevocationCheckMode = X509RevocationMode.NoCheck,
                RemoteCertificateValidationCallback = (_, certificate, _, _) => certificate is X509Certificate2 known && KeyPin.Of(known) == shown.Pin,
            },
        };
        using GrpcChannel channel = GrpcChannel.ForAddress(_hub, new GrpcChannelOptions { HttpHandler = handler });
        ECDsa key = ECDsa.Create(ECCurve.NamedCurves.nistP256);
        byte[] request = new CertificateRequest("CN=kitmesh", key, HashAlgorithmName.SHA256).CreateSigningRequest();
        EnrolResponse answer;
        try
        {
            answer = await new EnrolService.EnrolServiceClient(channel).EnrolAsync(
                new EnrolRequest
                {
                    CodeName = code.Name,
                    Proof = ByteString.CopyFrom(EnrolProof.OfDevice(code, shown.Pin, request)),
                    Request = ByteString.CopyFrom(request),
                },
                cancellationToken: stop).ConfigureAwait(false);
        }
        catch (RpcException refused) when (refused.StatusCode is StatusCode.Unavailable or StatusCode.DeadlineExceeded)
        {
            return new EnrolOutcome.Unreachable($"{_hub}: {refused.Status.Detail}");
        }
        catch (RpcException refused) when (refused.StatusCode != StatusCode.Cancelled)
        {
            return new EnrolOutcome.Refused(refused.Status.Detail);
        }

        return Judge(code, shown, key, request, answer);
    }

    private EnrolOutcome Judge(EnrolCode code, ShownKey shown, ECDsa key, byte[] request, EnrolResponse answer)
    {
        byte[] expected = EnrolProof.OfHub(code, shown.Pin, request, answer.Certificate.Span, answer.Issuer.Span, answer.Root.Span);
        if (!EnrolProof.Agrees(answer.Proof.Span, expected))
        {
            return new EnrolOutcome.Refused($"What answers at {_hub} does not know the code: somebody may stand between. Nothing was kept.");
        }

        try
        {
            X509Certificate2 certificate = X509CertificateLoader.LoadCertificate(answer.Certificate.Span);
            X509Certificate2? issuer = answer.Issuer.IsEmpty ? null : X509CertificateLoader.LoadCertificate(answer.Issuer.Span);
            var trust = new TripTrust(X509CertificateLoader.LoadCertificate(answer.Root.Span));
            bool isOurs = certificate.PublicKey.ExportSubjectPublicKeyInfo().AsSpan().SequenceEqual(key.ExportSubjectPublicKeyInfo());
            return isOurs
                && trust.Judge(certificate, issuer is null ? [] : [issuer]) is TrustVerdict.Member member
                && trust.Judge(shown.Certificate, shown.Others) is TrustVerdict.Member hub
                && hub.Roles.HasFlag(MeshRoles.Hub)
                ? new EnrolOutcome.Enrolled(key, certificate, issuer, trust.Root, member)
                : new EnrolOutcome.Refused($"{_hub} sent certificates that do not fit together. Nothing was kept.");
        }
        catch (Exception odd) when (CertificateProfile.IsOddInput(odd))
        {
            return new EnrolOutcome.Refused($"{_hub} sent certificates that cannot be read. Nothing was kept.");
        }
    }
}
