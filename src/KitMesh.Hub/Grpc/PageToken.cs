using System.Globalization;
using KitMesh.Domain.Reports;
using KitMesh.Protocol;
using KitMesh.Storage.Queries;

namespace KitMesh.Hub.Grpc;

/// <summary>Where a page of reports ended, as text that callers pass back unread.</summary>
internal static class PageToken
{
    public static string Write(PagePosition position) => string.Create(
        CultureInfo.InvariantCulture,
        $"{Nanoseconds.Of(position.Time)}.{position.Key.Origin.Node}.{position.Key.Origin.Epoch:x}.{position.Key.Sequence}.{position.Content:x}");

    /// <summary>Reads a token; null for none.</summary>
    /// <exception cref="CallRefusedException">This is no token of ours.</exception>
    public static PagePosition? Read(string token)
    {
        if (token.Length == 0)
        {
            return null;
        }

        string[] parts = token.Split('.');
        if (parts.Length == 5
            && long.TryParse(parts[0], NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out long time)
            && NodeId.TryParse(parts[1], out NodeId node)
            && ulong.TryParse(parts[2], NumberStyles.AllowHexSpecifier, CultureInfo.InvariantCulture, out ulong epoch)
            && ulong.TryParse(parts[3], NumberStyles.None, CultureInfo.InvariantCulture, out ulong sequence)
            && UInt128.TryParse(parts[4], NumberStyles.AllowHexSpecifier, CultureInfo.InvariantCulture, out UInt128 content))
        {
            return new PagePosition(Nanoseconds.ToInstant(time), new ReportKey(new OriginId(node, epoch), sequence), content);
        }

        throw CallRefusedException.Bad("page_token", "This is no token of this hub. Leave it empty to start from the first page.");
    }
}
