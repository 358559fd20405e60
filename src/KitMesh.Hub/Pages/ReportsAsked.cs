namespace KitMesh.Hub.Pages;

/// <summary>Which reports the page "Reports" was asked for.</summary>
/// <param name="Kind">Only this kind; empty for all.</param>
/// <param name="Node">Only of this node; empty for all.</param>
/// <param name="OddOnly">Only reports that cannot be right.</param>
/// <param name="From">Where the page starts; empty for the newest.</param>
public sealed record ReportsAsked(string Kind, string Node, bool OddOnly, string From)
{
    /// <summary>The link to the page that starts elsewhere.</summary>
    /// <param name="from">Where it starts; empty for the newest.</param>
    public string LinkFrom(string from) =>
        $"/reports?kind={Uri.EscapeDataString(Kind)}&node={Uri.EscapeDataString(Node)}{(OddOnly ? "&odd=yes" : "")}{(from.Length > 0 ? "&from=" + Uri.EscapeDataString(from) : "")}";
}
