using KitMesh.Hub.Enrolment;
using KitMesh.Hub.Json;
using KitMesh.Hub.Pages.Phone;
using KitMesh.Hub.Views;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Components;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.Features;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace KitMesh.Hub.Pages;

/// <summary>Where the pages answer. Everything they need comes from this hub.</summary>
internal static class PageRoutes
{
    /// <summary>Maps the pages.</summary>
    public static void Map(IEndpointRouteBuilder routes)
    {
        routes.MapGet("/", async (PageBuilder pages, HttpContext context) =>
            Page<TonightPage>(await pages.TonightAsync(context.RequestAborted).ConfigureAwait(false)));
        routes.MapGet("/energy", async (PageBuilder pages, HttpContext context) =>
            Page<EnergyPage>(await pages.EnergyAsync(context.RequestAborted).ConfigureAwait(false)));
        routes.MapGet("/energy/what-if", (HttpContext context) => TypedResults.LocalRedirect("/what-if" + context.Request.QueryString));
        routes.MapGet("/what-if", async (WhatIfBuilder pages, HttpContext context, string? flights, string? heater, string? cloudy) =>
            Page<WhatIfPage>(await pages.WhatIfAsync(WhatIf.Of(flights, heater, cloudy), context.RequestAborted).ConfigureAwait(false)));
        routes.MapGet("/light", (HttpContext context, string? to, string? back) => Remember(context, PageLight.Cookie, to == PageLight.Red ? PageLight.Red : "system", back));
        routes.MapGet("/units", (HttpContext context, string? to, string? back) => Remember(context, PageLocale.Cookie, to == PageLocale.Plain ? PageLocale.Plain : "local", back));
        routes.MapGet("/charts", async (HistoryBuilder pages, HttpContext context, string? what, string? days) =>
            Page<HistoryPage>(await pages.HistoryAsync(HistoryAsked.Of(what, days), context.RequestAborted).ConfigureAwait(false)));
        routes.MapGet("/charts/data.json", async (HistoryBuilder pages, HttpContext context, string? what, string? days) =>
            Results.Json(await pages.ChartAsync(HistoryAsked.Of(what, days), context.RequestAborted).ConfigureAwait(false), ResultJson.Options));
        routes.MapGet("/footage", async (PageBuilder pages, HttpContext context) =>
            Page<FootagePage>(await pages.FootageAsync(context.RequestAborted).ConfigureAwait(false)));
        routes.MapGet("/morning", async (PageBuilder pages, HttpContext context) =>
            Page<MorningPage>(await pages.MorningAsync(context.RequestAborted).ConfigureAwait(false)));
        routes.MapGet("/trip", async (PageBuilder pages, HttpContext context, string? said) =>
            Page<TripPage>(await pages.TripAsync(TripTelling.MayTell(context.Features.Get<Caller>()), said, context.RequestAborted).ConfigureAwait(false)));
        routes.MapPost("/trip", TellAsync);
        routes.MapGet("/kit", (PageBuilder pages, HttpContext context) => Page<KitPage>(pages.Kit(context.Features.Get<Caller>())));
        routes.MapPost("/kit", InviteAsync);
        routes.MapGet("/reports", async (ReportsBuilder pages, HttpContext context, string? kind, string? node, string? odd, string? from) =>
            Page<ReportsPage>(await pages.ReportsAsync(new ReportsAsked(kind ?? "", node ?? "", odd == "yes", from ?? ""), context.RequestAborted).ConfigureAwait(false)));
        PhonePage.Map(routes);
        routes.MapGet("/live", (LiveSignal signal, HttpContext context) => signal.Open(context.RequestAborted));
        foreach ((string path, PageAsset file) in PageAsset.All)
        {
            routes.MapGet(path, file.Answer);
        }
    }

    /// <summary>Remembers how a reader wants pages. A cookie, so that the first paint in a dark tent is red already. Then back to the page it was asked on.</summary>
    private static RedirectHttpResult Remember(HttpContext context, string cookie, string value, string? back)
    {
        context.Response.Cookies.Append(
            cookie,
            value,
            new CookieOptions { SameSite = SameSiteMode.Strict, Secure = context.Request.IsHttps, Path = "/", MaxAge = TimeSpan.FromDays(60) });
        return TypedResults.LocalRedirect(IsOwnPath(back) ? back! : "/");
    }

    /// <summary>Whether it is a path of this hub: browsers read "//" and "/\" at the start as another host.</summary>
    private static bool IsOwnPath(string? back) => back is ['/', ..] and not ['/', '/' or '\\', ..] && !back.Any(char.IsControl);

    private static async Task<IResult> TellAsync(TripTelling telling, HttpContext context)
    {
        if (!context.Request.HasFormContentType)
        {
            return TypedResults.StatusCode(StatusCodes.Status415UnsupportedMediaType);
        }

        IFormCollection form = await context.Request.ReadFormAsync(new FormOptions { ValueCountLimit = 10, ValueLengthLimit = 8_192, BufferBodyLengthLimit = 65_536 }, context.RequestAborted).ConfigureAwait(false);
        string said = await telling.TakeAsync(form, context.Features.Get<Caller>(), context.RequestAborted).ConfigureAwait(false);
        context.Response.StatusCode = StatusCodes.Status303SeeOther;
        context.Response.Headers.Location = "/trip?said=" + said;
        return TypedResults.Empty;
    }

    private static async Task<IResult> InviteAsync(PageBuilder pages, HttpContext context)
    {
        if (context.RequestServices.GetService(typeof(PhoneInvite)) is not PhoneInvite invites || context.Features.Get<Caller>() is not { } caller)
        {
            return TypedResults.NotFound();
        }

        if (!context.Request.HasFormContentType)
        {
            return TypedResults.StatusCode(StatusCodes.Status415UnsupportedMediaType);
        }

        IFormCollection form = await context.Request.ReadFormAsync(new FormOptions { ValueCountLimit = 4, ValueLengthLimit = 200, BufferBodyLengthLimit = 4_096 }, context.RequestAborted).ConfigureAwait(false);
        return Page<KitPage>(pages.Kit(caller, invites.Make(form, caller)));
    }

    private static RazorComponentResult<T> Page<T>(object model)
        where T : IComponent => new(new Dictionary<string, object?> { ["Model"] = model });
}
