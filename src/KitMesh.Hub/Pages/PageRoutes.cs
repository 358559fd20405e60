using KitMesh.Hub.Enrolment;
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
    private static readonly byte[] Styles = PageFile.Read("kitmesh.css");
    private static readonly byte[] Live = PageFile.Read("live.js");

    /// <summary>Maps the pages.</summary>
    public static void Map(IEndpointRouteBuilder routes)
    {
        routes.MapGet("/", async (PageBuilder pages, HttpContext context) =>
            Page<TonightPage>(await pages.TonightAsync(context.RequestAborted).ConfigureAwait(false)));
        routes.MapGet("/energy", async (PageBuilder pages, HttpContext context) =>
            Page<EnergyPage>(await pages.EnergyAsync(context.RequestAborted).ConfigureAwait(false)));
        routes.MapGet("/energy/what-if", async (WhatIfBuilder pages, HttpContext context, string? flights, string? heater, string? cloudy) =>
            Page<WhatIfPage>(await pages.WhatIfAsync(WhatIf.Of(flights, heater, cloudy), context.RequestAborted).ConfigureAwait(false)));
        routes.MapGet("/light", (HttpContext context, string? to) => SetLight(context, to));
        routes.MapGet("/footage", async (PageBuilder pages, HttpContext context) =>
            Page<FootagePage>(await pages.FootageAsync(context.RequestAborted).ConfigureAwait(false)));
        routes.MapGet("/morning", async (PageBuilder pages, HttpContext context) =>
            Page<MorningPage>(await pages.MorningAsync(context.RequestAborted).ConfigureAwait(false)));
        routes.MapGet("/trip", async (PageBuilder pages, HttpContext context, string? said) =>
            Page<TripPage>(await pages.TripAsync(TripTelling.MayTell(context.Features.Get<Caller>()), said, context.RequestAborted).ConfigureAwait(false)));
        routes.MapPost("/trip", TellAsync);
        routes.MapGet("/kit", (PageBuilder pages) => Page<KitPage>(pages.Kit()));
        routes.MapGet("/reports", async (ReportsBuilder pages, HttpContext context, string? kind, string? node, string? odd, string? from) =>
            Page<ReportsPage>(await pages.ReportsAsync(new ReportsAsked(kind ?? "", node ?? "", odd == "yes", from ?? ""), context.RequestAborted).ConfigureAwait(false)));
        PhonePage.Map(routes);
        routes.MapGet("/live", (LiveSignal signal, HttpContext context) => signal.Open(context.RequestAborted));
        routes.MapGet("/kitmesh.css", () => Results.Bytes(Styles, "text/css; charset=utf-8"));
        routes.MapGet("/live.js", () => Results.Bytes(Live, "text/javascript; charset=utf-8"));
    }

    /// <summary>Remembers the red light, or forgets it. A cookie, so that the first paint in a dark tent is red already.</summary>
    private static RedirectHttpResult SetLight(HttpContext context, string? to)
    {
        context.Response.Cookies.Append(
            PageLight.Cookie,
            to == PageLight.Red ? PageLight.Red : "system",
            new CookieOptions { SameSite = SameSiteMode.Strict, Secure = context.Request.IsHttps, Path = "/", MaxAge = TimeSpan.FromDays(60) });
        return TypedResults.LocalRedirect("~/");
    }

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

    private static RazorComponentResult<T> Page<T>(object model)
        where T : IComponent => new(new Dictionary<string, object?> { ["Model"] = model });
}
