using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace KitMesh.Hub.Pages;

/// <summary>Where the pages answer. Everything they need comes from this hub.</summary>
internal static class PageRoutes
{
    private static readonly byte[] Styles = Read("kitmesh.css");

    /// <summary>Maps the pages.</summary>
    public static void Map(IEndpointRouteBuilder routes)
    {
        routes.MapGet("/", async (PageBuilder pages, HttpContext context) =>
            (IResult)new RazorComponentResult<TonightPage>(new { Model = await pages.TonightAsync(context.RequestAborted).ConfigureAwait(false) }));
        routes.MapGet("/kitmesh.css", () => Results.Bytes(Styles, "text/css; charset=utf-8"));
    }

    private static byte[] Read(string name)
    {
        using Stream stream = typeof(PageRoutes).Assembly.GetManifestResourceStream($"KitMesh.Hub.Pages.{name}")
            ?? throw new InvalidOperationException($"{name} is not part of this program.");
        using var bytes = new MemoryStream();
        stream.CopyTo(bytes);
        return bytes.ToArray();
    }
}
