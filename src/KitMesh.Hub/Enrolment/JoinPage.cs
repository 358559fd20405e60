using System.Net;
using System.Text;
using KitMesh.Protocol.Certificates;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;
using Microsoft.Extensions.Logging;

namespace KitMesh.Hub.Enrolment;

/// <summary>Where a browser joins: the one page that a stranger may see.</summary>
/// <remarks>
/// The link of the picture carries the code in its query. Trap: browsers, scanners and messengers fetch links before anybody
/// taps them, so opening the link uses nothing up; the button does, by POST, and from then on the link is worthless.
/// </remarks>
internal sealed class JoinPage(CodeBook codes, AttemptLimit attempts, PageSessions sessions, RightsBook rights, HubClocks clocks, ILogger<JoinPage> log)
{
    private const int LongestBody = 256;
    private const string Style = "body{font:1.25rem sans-serif;margin:1.5rem;max-width:30rem}input,button{font:inherit;width:100%;box-sizing:border-box;padding:.8rem;margin:.5rem 0}";
    private const string NotValid = "This code is not valid: it was mistyped, used, or is too old. Ask a keeper for a new one.";

    /// <summary>Maps the page.</summary>
    public static void Map(IEndpointRouteBuilder routes)
    {
        routes.MapGet("/join", (string? code) => Html(StatusCodes.Status200OK, "", code)).WithMetadata(OpenToStrangers.Instance);
        routes.MapPost("/join", (JoinPage page, HttpContext context) => page.JoinAsync(context)).WithMetadata(OpenToStrangers.Instance);
        routes.MapGet("/join.css", () => Results.Text(Style, "text/css; charset=utf-8")).WithMetadata(OpenToStrangers.Instance);
    }

    private async Task<IResult> JoinAsync(HttpContext context)
    {
        if (!attempts.TryTake(context.Connection.RemoteIpAddress))
        {
            return Html(StatusCodes.Status429TooManyRequests, "Too many attempts. Wait a minute, then try again.", null);
        }

        string typed = await ReadCodeAsync(context).ConfigureAwait(false);
        if (!EnrolCode.TryParse(typed, out EnrolCode? code))
        {
            return Html(StatusCodes.Status400BadRequest, "The code was mistyped. It has 18 letters and digits.", null);
        }

        if (codes.RedeemForPage(code) is not { } entry || rights.Revoked.ContainsKey(entry.Node))
        {
            EnrolLog.CodeRefused(log, context.Connection.RemoteIpAddress?.ToString() ?? "an unknown address");
            return Html(StatusCodes.Status401Unauthorized, NotValid, null);
        }

        string token = sessions.Open(entry.Node, entry.Roles, clocks.World.GetCurrentInstant());
        EnrolLog.LetIn(log, entry.Node, $"{string.Join(", ", RoleNames.Of(entry.Roles))} in a browser");
        context.Response.Cookies.Append(PageSessions.Cookie, token, new CookieOptions
        {
            HttpOnly = true,
            Secure = true,
            SameSite = SameSiteMode.Strict,
            Path = "/",
            MaxAge = TimeSpan.FromDays(400), // The longest that browsers keep one; the hub judges the time itself.
            IsEssential = true,
        });
        context.Response.Headers.Location = "/";
        return Results.StatusCode(StatusCodes.Status303SeeOther);
    }

    private static async Task<string> ReadCodeAsync(HttpContext context)
    {
        byte[] body = new byte[LongestBody];
        int length = await context.Request.Body.ReadAtLeastAsync(body, LongestBody, throwOnEndOfStream: false, context.RequestAborted).ConfigureAwait(false);
        string text = Encoding.UTF8.GetString(body, 0, length);
        return text.StartsWith("code=", StringComparison.Ordinal) ? WebUtility.UrlDecode(text["code=".Length..]) : "";
    }

    private static IResult Html(int status, string words, string? code)
    {
        string value = EnrolCode.TryParse(code, out EnrolCode? known) ? known.Reveal() : "";
        string page = $"""
            <!doctype html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
            <title>Join</title><link rel="stylesheet" href="/join.css"></head><body><main><h1>Join first</h1>
            <p role="status">{WebUtility.HtmlEncode(words)}</p>
            <form method="post" action="/join"><label for="code">Code from a keeper</label>
            <input id="code" name="code" autocomplete="off" autocapitalize="characters" spellcheck="false" required value="{WebUtility.HtmlEncode(value)}">
            <button>Join</button></form></main></body></html>
            """;
        return Results.Content(page, "text/html; charset=utf-8", Encoding.UTF8, status);
    }
}
