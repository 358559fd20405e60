using System.IO.Compression;
using System.Security.Cryptography;
using Microsoft.AspNetCore.Http;
using Microsoft.Extensions.Primitives;

namespace KitMesh.Hub.Pages;

/// <summary>A file that belongs to the pages and never changes while the hub runs: packed once, asked for again only by its mark.</summary>
/// <remarks>
/// A phone on a thin link loads each of them once: the browser keeps it and asks "still the same?", which costs an empty answer.
/// It may not keep it unasked, since after an update of the hub pages and files must fit together.
/// </remarks>
internal sealed class PageAsset
{
    private readonly byte[] _plain;
    private readonly byte[] _brotli;
    private readonly byte[] _gzip;
    private readonly string _mark;
    private readonly string _type;

    private PageAsset(byte[] content, string type)
    {
        _plain = content;
        _type = type;
        _mark = $"\"{Convert.ToHexStringLower(SHA256.HashData(content))[..20]}\"";
        _brotli = Pack(content, to => new BrotliStream(to, CompressionLevel.SmallestSize));
        _gzip = Pack(content, to => new GZipStream(to, CompressionLevel.SmallestSize));
    }

    /// <summary>The files of the pages.</summary>
    public static IReadOnlyDictionary<string, PageAsset> All { get; } = new Dictionary<string, PageAsset>(StringComparer.Ordinal)
    {
        ["/kitmesh.css"] = Of("kitmesh.css", "text/css; charset=utf-8"),
        ["/live.js"] = Of("live.js", "text/javascript; charset=utf-8"),
        ["/charts.js"] = Of("charts.js", "text/javascript; charset=utf-8"),
        ["/_framework/blazor.web.js"] = Of("Framework.blazor.web.js", "text/javascript; charset=utf-8"),
        ["/_framework/notices.txt"] = Of("Framework.notices.txt", "text/plain; charset=utf-8"),
        ["/uplot.js"] = Of("Vendor.uPlot.iife.min.js", "text/javascript; charset=utf-8"),
        ["/uplot.css"] = Of("Vendor.uPlot.min.css", "text/css; charset=utf-8"),
        ["/uplot.licence.txt"] = Of("Vendor.uPlot.LICENSE.txt", "text/plain; charset=utf-8"),
    };

    /// <summary>One from its content.</summary>
    /// <param name="content">The content.</param>
    /// <param name="type">Its media type.</param>
    public static PageAsset From(byte[] content, string type) => new(content, type);

    /// <summary>Answers a request for it.</summary>
    public IResult Answer(HttpContext context)
    {
        IHeaderDictionary headers = context.Response.Headers;
        headers.CacheControl = "no-cache";
        headers.ETag = _mark;
        headers.Vary = "Accept-Encoding";
        if (context.Request.Headers.IfNoneMatch.Contains(_mark))
        {
            return TypedResults.StatusCode(StatusCodes.Status304NotModified);
        }

        StringValues wanted = context.Request.Headers.AcceptEncoding;
        (byte[] bytes, string? packed) = Takes(wanted, "br") ? (_brotli, "br") : Takes(wanted, "gzip") ? (_gzip, "gzip") : (_plain, null);
        if (packed is not null)
        {
            headers.ContentEncoding = packed;
        }

        return TypedResults.Bytes(bytes, _type);
    }

    private static PageAsset Of(string name, string type) => new(PageFile.Read(name), type);

    private static bool Takes(StringValues wanted, string packing) =>
        wanted.ToString().Split(',').Any(one => one.Trim().Equals(packing, StringComparison.OrdinalIgnoreCase));

    private static byte[] Pack(byte[] content, Func<Stream, Stream> packing)
    {
        using var packed = new MemoryStream();
        using (Stream into = packing(packed))
        {
            into.Write(content);
        }

        return packed.ToArray();
    }
}
