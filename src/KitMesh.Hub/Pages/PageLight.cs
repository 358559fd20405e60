using Microsoft.AspNetCore.Http;

namespace KitMesh.Hub.Pages;

/// <summary>Which light a page is read by: the system's (day or night), or red, which spares eyes that are used to the dark.</summary>
internal static class PageLight
{
    /// <summary>The cookie that remembers it. It says nothing of a person and needs no secrecy.</summary>
    public const string Cookie = "light";

    /// <summary>Its value for red.</summary>
    public const string Red = "red";

    /// <summary>The light for a page; null for the system's.</summary>
    public static string? Of(HttpContext? context) => context?.Request.Cookies[Cookie] == Red ? Red : null;
}
