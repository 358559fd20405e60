using System.Net;
using Microsoft.AspNetCore.Http;

namespace KitMesh.Hub.Pages;

/// <summary>Security headers on every answer, and no answer for names that are not this machine.</summary>
/// <remarks>
/// Trap: a page from elsewhere can point a name of its own at 127.0.0.1 and then read a hub that trusts loopback. The Host
/// header still carries that name, so only loopback names are answered; and a browser says itself when a request comes from
/// another site (Sec-Fetch-Site, W3C Fetch Metadata), which is refused for everything that changes something.
/// </remarks>
internal static class PageGuard
{
    private const string Policy = "default-src 'none'; style-src 'self'; img-src 'self' data:; script-src 'self'; connect-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'";

    /// <summary>Runs before everything else.</summary>
    /// <param name="context">The request.</param>
    /// <param name="next">What comes after.</param>
    /// <param name="asksWho">Whether the hub asks for certificates: then TLS vouches for its name, and names need not be this machine's.</param>
    public static async Task InvokeAsync(HttpContext context, RequestDelegate next, bool asksWho)
    {
        IHeaderDictionary headers = context.Response.Headers;
        headers.ContentSecurityPolicy = Policy;
        headers.XContentTypeOptions = "nosniff";
        headers.XFrameOptions = "DENY";
        headers["Referrer-Policy"] = "no-referrer";
        headers["Cross-Origin-Resource-Policy"] = "same-origin";
        headers.CacheControl = "no-store";
        bool isForeign = context.Request.Headers["Sec-Fetch-Site"].ToString() is "cross-site" or "same-site" && !HttpMethods.IsGet(context.Request.Method);
        if (isForeign || !(asksWho || IsThisMachine(context.Request.Host.Host)))
        {
            context.Response.StatusCode = StatusCodes.Status403Forbidden;
            await context.Response.WriteAsync("Join first.", context.RequestAborted).ConfigureAwait(false);
            return;
        }

        await next(context).ConfigureAwait(false);
    }

    private static bool IsThisMachine(string host) =>
        host.Equals("localhost", StringComparison.OrdinalIgnoreCase)
        || (IPAddress.TryParse(host.Trim('[', ']'), out IPAddress? address) && IPAddress.IsLoopback(address));
}
