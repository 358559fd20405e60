using System.Globalization;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using Google.Protobuf;
using Grpc.Core;
using KitMesh.Domain;
using KitMesh.Domain.Reports;
using KitMesh.Hub.Grpc;
using KitMesh.Hub.Ingest;
using KitMesh.Protocol.Certificates;
using KitMesh.Sync.Journal;
using Microsoft.Extensions.Logging;
using NodaTime;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Hub.Enrolment;

/// <summary>Lets devices in, renews them, and ends the trust in them.</summary>
internal sealed class EnrolGrpcService(
    HubIdentity identity,
    CodeBook codes,
    AttemptLimit attempts,
    PageSessions sessions,
    RightsBook rights,
    ReportIntake intake,
    MergedView view,
    HubOptions options,
    HubClocks clocks,
    ILogger<EnrolGrpcService> log) : V1.EnrolService.EnrolServiceBase
{
    private const uint StandardSeconds = 600;
    private const uint MostSeconds = 86_400;
    private const int MaxWords = 400;
    private const string NotValid = "This code is not valid: it was mistyped, used, is too old, or the hub was restarted. Ask a keeper for a new one.";

    public override async Task<V1.EnrolResponse> Enrol(V1.EnrolRequest request, ServerCallContext context)
    {
        if (!attempts.TryTake(context.GetHttpContext().Connection.RemoteIpAddress))
        {
            throw CallRefusedException.Busy("Too many attempts. Wait a minute, then try again.");
        }

        if (request.Proof.Length != EnrolProof.Size || request.Request.Length is 0 or > CertificateProfile.MaxBytes || request.CodeName.Length > 8)
        {
            throw CallRefusedException.Stranger(NotValid);
        }

        CodeBook.Use use = codes.Redeem(
            request.CodeName,
            request.Proof.Memory,
            code => EnrolProof.OfDevice(code, identity.Pin, request.Request.Span),
            Sha256Hash.Of(request.Request.Span)) ?? throw Refused(context);
        byte[] certificate = use.Certificate ?? await LetInAsync(use, request.Request.Memory, context.CancellationToken).ConfigureAwait(false);
        bool fromRoot = use.Roles.HasFlag(MeshRoles.Hub) || identity.HoldsRoot;
        ReadOnlyMemory<byte> issuer = fromRoot ? default : identity.IssuerBytes;
        return new V1.EnrolResponse
        {
            Certificate = ByteString.CopyFrom(certificate),
            Issuer = ByteString.CopyFrom(issuer.Span),
            Root = ByteString.CopyFrom(identity.RootBytes.Span),
            Proof = ByteString.CopyFrom(EnrolProof.OfHub(use.Code, identity.Pin, request.Request.Span, certificate, issuer.Span, identity.RootBytes.Span)),
        };
    }

    public override async Task<V1.RenewResponse> Renew(V1.RenewRequest request, ServerCallContext context)
    {
        Caller caller = CallerGate.Of(context)!;
        V1.RenewResponse answer = new();
        answer.RevokedNodes.AddRange(rights.Revoked.Keys.Select(node => node.Value));
        if (caller.Way != CallerWay.Certificate || caller.HasAny(MeshRoles.Hub) || !identity.MayIssue(caller.Roles))
        {
            return answer;
        }

        using X509Certificate2 shown = X509CertificateLoader.LoadCertificate(context.GetHttpContext().Connection.ClientCertificate!.RawDataMemory.Span);
        Instant now = clocks.World.GetCurrentInstant();
        if (!request.Now && !CertificateTime.IsDue(new CertificateSpan(shown.NotBefore, shown.NotAfter), now))
        {
            return answer;
        }

        PublicKey key = ReadKey(request.Request.Memory);
        if (!key.ExportSubjectPublicKeyInfo().AsSpan().SequenceEqual(shown.PublicKey.ExportSubjectPublicKeyInfo()))
        {
            throw CallRefusedException.Bad("request", "A renewal keeps the key. To change the key, join again with a new code.");
        }

        if (!attempts.TryTake(context.GetHttpContext().Connection.RemoteIpAddress))
        {
            // Each renewal is a report of the hub's own that every hub keeps.
            throw CallRefusedException.Busy("Renewed often enough. Wait a minute, then try again.");
        }

        using X509Certificate2 fresh = identity.Issue(caller.Node, caller.Roles, key, now);
        await ReportAsync(caller.Node, fresh, identity.IssuerBytes, context.CancellationToken).ConfigureAwait(false);
        EnrolLog.Renewed(log, caller.Node);
        answer.Certificate = ByteString.CopyFrom(fresh.RawDataMemory.Span);
        answer.Issuer = ByteString.CopyFrom(identity.IssuerBytes.Span);
        return answer;
    }

    public override Task<V1.MintCodeResponse> MintCode(V1.MintCodeRequest request, ServerCallContext context)
    {
        NodeId node = Node(request.Node);
        if (request.Roles.Count == 0 || !RoleNames.TryParse(request.Roles, out MeshRoles roles, out _))
        {
            throw CallRefusedException.Bad("roles", "Give one or more of writer, reader, keeper, hub.");
        }

        if (roles.HasFlag(MeshRoles.Hub))
        {
            // A further hub reads, writes and passes on: there is nothing to add to it.
            roles = MeshRoles.Hub;
        }

        if (request.Page && (roles & ~(MeshRoles.Writer | MeshRoles.Reader)) != MeshRoles.None)
        {
            throw CallRefusedException.Bad("roles", "A browser joins as writer, reader or both. Keepers and hubs need a certificate.");
        }

        if (!identity.MayIssue(roles))
        {
            throw CallRefusedException.Bad("roles", $"{options.Node} lets in writers and readers. Keepers and hubs join at the hub that holds the trip root.");
        }

        if (node == options.Node || rights.Revoked.ContainsKey(node))
        {
            throw CallRefusedException.Bad("node", node == options.Node ? $"{node} is this hub's own name." : $"The trust in {node} was ended, so its name is not given out again. Choose a new one, such as {node}-2.");
        }

        uint seconds = request.Seconds == 0 ? StandardSeconds : request.Seconds;
        if (seconds is < 30 or > MostSeconds)
        {
            throw CallRefusedException.Bad("seconds", string.Create(CultureInfo.InvariantCulture, $"Use 30 to {MostSeconds} seconds."));
        }

        EnrolCode code = codes.Mint(node, roles, TimeSpan.FromSeconds(seconds), request.Page)
            ?? throw CallRefusedException.Busy($"{CodeBook.MaxWaiting} codes wait already. Wait until some are used or too old.");
        EnrolLog.CodeMade(log, node, CallerGate.Of(context)!.Node);
        var answer = new V1.MintCodeResponse { Code = code.Reveal(), Pin = KeyPin.Text(identity.Pin), Seconds = seconds };
        answer.Addresses.AddRange(HubAddresses.Of(options.Listen).Select(address => new UriBuilder(options.Listen) { Host = address.ToString(), Port = BoundPort(context) }.Uri.GetLeftPart(UriPartial.Authority)));
        return Task.FromResult(answer);
    }

    public override async Task<V1.ListNodesResponse> ListNodes(V1.ListNodesRequest request, ServerCallContext context)
    {
        await view.WhenCaughtUpAsync(context.CancellationToken).ConfigureAwait(false);
        V1.ListNodesResponse answer = new();
        answer.WaitingNodes.AddRange(codes.Waiting.Select(node => node.Value));
        answer.Nodes.AddRange(rights.Members.Values.Select(member => Line(member.Node, member.Roles, member.Issuer?.Value ?? "", member.Span, page: false)));
        answer.Nodes.AddRange(sessions.All.Select(session => Line(session.Node, session.Roles, options.Node.Value, session.Span, page: true)));
        return answer;
    }

    public override async Task<V1.RevokeNodeResponse> RevokeNode(V1.RevokeNodeRequest request, ServerCallContext context)
    {
        NodeId node = Node(request.Node);
        if (node == options.Node)
        {
            throw CallRefusedException.Bad("node", $"{node} is this hub itself. Revoke it at another hub.");
        }

        if (request.Reason.Length is 0 or > MaxWords || request.Author.Length > MaxWords)
        {
            throw CallRefusedException.Bad("reason", "Say why, in 1 to 400 characters: the others will ask.");
        }

        LastValidReport[] origins =
        [
            .. intake.Journal.Have().Where(held => held.Origin.Node == node).Take(1_000).Select(held => new LastValidReport(held.Origin.Epoch, held.Ranges.PrefixEnd)),
        ];
        string author = request.Author.Length > 0 ? request.Author : CallerGate.Of(context)!.Node.Value;
        OwnAppend append = await intake.WriteAsync([new NodeRevoked(node, origins.ToValueList(), author, request.Reason)], context.CancellationToken).ConfigureAwait(false);
        if (append.Result is not AppendResult.Durable)
        {
            throw CallRefusedException.Unavailable($"The hub's disk failed, so {node} is not revoked. {append.Result}");
        }

        await view.WhenCaughtUpAsync(context.CancellationToken).ConfigureAwait(false);
        EnrolLog.Revoked(log, node, author);
        V1.RevokeNodeResponse answer = new();
        answer.Origins.AddRange(origins.Select(origin => new V1.LastValidOrigin { Epoch = origin.Epoch, Sequence = origin.Sequence }));
        return answer;
    }

    private V1.EnrolledNode Line(NodeId node, MeshRoles roles, string issuer, CertificateSpan span, bool page)
    {
        var line = new V1.EnrolledNode
        {
            Node = node.Value,
            Issuer = issuer,
            Until = AnswerCodec.Write(Instant.FromDateTimeOffset(span.Until)),
            Revoked = rights.Revoked.TryGetValue(node, out RevokedMember? revoked),
            Words = revoked?.Words ?? "",
            Page = page,
        };
        line.Roles.AddRange(RoleNames.Of(roles));
        return line;
    }

    private async Task<byte[]> LetInAsync(CodeBook.Use use, ReadOnlyMemory<byte> request, CancellationToken cancellation)
    {
        bool done = false;
        try
        {
            if (rights.Revoked.ContainsKey(use.Node))
            {
                throw CallRefusedException.Stranger(NotValid);
            }

            using X509Certificate2 certificate = identity.Issue(use.Node, use.Roles, ReadKey(request), clocks.World.GetCurrentInstant());
            await ReportAsync(use.Node, certificate, use.Roles.HasFlag(MeshRoles.Hub) ? default : identity.IssuerBytes, cancellation).ConfigureAwait(false);
            byte[] bytes = certificate.RawData;
            use.Keep(bytes);
            done = true;
            EnrolLog.LetIn(log, use.Node, string.Join(", ", RoleNames.Of(use.Roles)));
            return bytes;
        }
        finally
        {
            if (!done)
            {
                use.Release();
            }
        }
    }

    private async Task ReportAsync(NodeId node, X509Certificate2 certificate, ReadOnlyMemory<byte> issuer, CancellationToken cancellation)
    {
        var report = new NodeEnrolled(node, ValueList.Create(certificate.RawDataMemory.Span), ValueList.Create(issuer.Span));
        OwnAppend append = await intake.WriteAsync([report], cancellation).ConfigureAwait(false);
        if (append.Result is not AppendResult.Durable)
        {
            throw CallRefusedException.Unavailable($"The hub's disk failed, so nobody is let in now. {append.Result}");
        }
    }

    /// <summary>The key of a request that a stranger handed in.</summary>
    /// <exception cref="CallRefusedException">It is none that this mesh takes.</exception>
    internal static PublicKey ReadKey(ReadOnlyMemory<byte> request)
    {
        try
        {
            // Loading checks the request's own signature: the sender holds the key.
            PublicKey key = CertificateRequest.LoadSigningRequest(request.Span, HashAlgorithmName.SHA256, out int read).PublicKey;
            return read == request.Length && CertificateProfile.IsMeshKey(key)
                ? key
                : throw CallRefusedException.Bad("request", "The request must be PKCS #10, DER, of an ECDSA key on P-256.");
        }
        catch (Exception odd) when (CertificateProfile.IsOddInput(odd))
        {
            throw CallRefusedException.Bad("request", "The request cannot be read or is not signed by its own key. It must be PKCS #10, DER, of an ECDSA key on P-256.");
        }
    }

    private static NodeId Node(string text) => NodeId.TryParse(text, out NodeId node)
        ? node
        : throw CallRefusedException.Bad("node", "Give the node's name: 1 to 63 characters of a-z, 0-9 and inner hyphens.");

    private int BoundPort(ServerCallContext context) => context.GetHttpContext().RequestServices.GetService(typeof(BoundAddress)) is BoundAddress { Port: > 0 } bound ? bound.Port : options.Listen.Port;

    private CallRefusedException Refused(ServerCallContext context)
    {
        EnrolLog.CodeRefused(log, context.GetHttpContext().Connection.RemoteIpAddress?.ToString() ?? "an unknown address");
        return CallRefusedException.Stranger(NotValid);
    }
}
