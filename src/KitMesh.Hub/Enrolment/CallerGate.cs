using System.Globalization;
using Grpc.AspNetCore.Server;
using Grpc.Core;
using KitMesh.Protocol.Certificates;
using Microsoft.AspNetCore.Connections.Features;
using Microsoft.AspNetCore.Http;
using NodaTime;

namespace KitMesh.Hub.Enrolment;

/// <summary>Stands before every call of a hub that others can reach: who is it, and may it do this?</summary>
/// <remarks>
/// What a certificate is worth was judged in the TLS handshake and is kept with the connection; time and revocation are
/// judged here, at each call. Whatever is not in the table of <see cref="CallRoles"/> is for keepers, so a new call is
/// closed until somebody decides otherwise. A stranger hears "Join first" whatever it asks.
/// </remarks>
internal sealed class CallerGate(RightsBook rights, LiveCalls live, PageSessions sessions, HubClocks clocks)
{
    private const string JoinFirst = "Join first.";

    /// <summary>Key of a connection's verdict.</summary>
    public static readonly object VerdictKey = new();

    /// <summary>Who makes a call; null on a hub that asks nobody.</summary>
    public static Caller? Of(ServerCallContext context) => context.GetHttpContext().Features.Get<Caller>();

    /// <summary>Lets a call through or refuses it.</summary>
    public async Task InvokeAsync(HttpContext context, RequestDelegate next)
    {
        Endpoint? endpoint = context.GetEndpoint();
        string? method = endpoint?.Metadata.GetMetadata<GrpcMethodMetadata>()?.Method.FullName;
        if (method == CallRoles.ForStrangers || endpoint?.Metadata.GetMetadata<OpenToStrangers>() is not null)
        {
            await next(context).ConfigureAwait(false);
            return;
        }

        Caller? caller = Identify(context, out string words);
        if (caller is null)
        {
            await RefuseAsync(context, StatusCodes.Status401Unauthorized, StatusCode.Unauthenticated, words).ConfigureAwait(false);
            return;
        }

        MeshRoles needed = method is null ? CallRoles.OfPages : CallRoles.Of(method);
        if (!caller.HasAny(needed))
        {
            string may = $"This needs the role {string.Join(" or ", RoleNames.Of(needed))}; {caller.Node} is {string.Join(" and ", RoleNames.Of(caller.Roles).DefaultIfEmpty("none"))}.";
            await RefuseAsync(context, StatusCodes.Status403Forbidden, StatusCode.PermissionDenied, may).ConfigureAwait(false);
            return;
        }

        context.Features.Set(caller);
        using IDisposable entry = live.Add(caller, context.Abort);
        await next(context).ConfigureAwait(false);
    }

    private Caller? Identify(HttpContext context, out string words)
    {
        words = JoinFirst;
        object? verdict = context.Features.Get<IConnectionItemsFeature>()?.Items.TryGetValue(VerdictKey, out object? known) == true ? known : null;
        switch (verdict)
        {
            case Caller owner:
                return owner;
            case TrustVerdict.Member member:
                return Admit(member, CallerWay.Certificate, ref words);
            default:
                return sessions.Find(context.Request.Cookies[PageSessions.Cookie]) is { } session
                    ? Admit(new TrustVerdict.Member(session.Node, session.Roles, null, session.Span), CallerWay.Session, ref words)
                    : null;
        }
    }

    private Caller? Admit(TrustVerdict.Member member, CallerWay way, ref string words)
    {
        if (rights.Revoked.ContainsKey(member.Node))
        {
            words = $"The trust in {member.Node} was ended. What it wrote before stays. A replacement joins under a new name.";
            return null;
        }

        if (member.Issuer is { } issuer && rights.Revoked.ContainsKey(issuer))
        {
            words = $"The trust in {issuer}, the hub that let {member.Node} in, was ended. Join again at another hub.";
            return null;
        }

        Instant now = clocks.World.GetCurrentInstant();
        if (CertificateTime.IsOutside(member.Span, now))
        {
            words = string.Create(CultureInfo.InvariantCulture, $"What lets {member.Node} in holds from {member.Span.From:yyyy-MM-dd} to {member.Span.Until:yyyy-MM-dd}. Join again.");
            return null;
        }

        return new Caller(member.Node, member.Roles, member.Issuer, way);
    }

    private static async Task RefuseAsync(HttpContext context, int status, StatusCode code, string words)
    {
        HttpResponse response = context.Response;
        if (context.Request.ContentType?.StartsWith("application/grpc", StringComparison.OrdinalIgnoreCase) == true)
        {
            // gRPC over HTTP/2, "Trailers-Only": the status stands in the headers. The words are percent-encoded as it asks.
            response.StatusCode = StatusCodes.Status200OK;
            response.ContentType = "application/grpc";
            response.Headers["grpc-status"] = ((int)code).ToString(CultureInfo.InvariantCulture);
            response.Headers["grpc-message"] = Uri.EscapeDataString(words);
            return;
        }

        response.StatusCode = status;
        response.ContentType = "text/plain; charset=utf-8";
        await response.WriteAsync(words, context.RequestAborted).ConfigureAwait(false);
    }
}
