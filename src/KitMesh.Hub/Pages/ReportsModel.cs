namespace KitMesh.Hub.Pages;

/// <summary>What the page "Reports" shows.</summary>
/// <param name="Head">The top of the page.</param>
/// <param name="Asked">What was asked for.</param>
/// <param name="Kinds">Every kind that there is, with its count.</param>
/// <param name="Lines">The reports, newest first.</param>
/// <param name="OlderLink">Where the older ones are; null when these are the last.</param>
/// <param name="Problem">Why nothing is shown; null when all is well.</param>
public sealed record ReportsModel(
    PageHead Head,
    ReportsAsked Asked,
    IReadOnlyList<KeyValuePair<string, long>> Kinds,
    IReadOnlyList<ReportRow> Lines,
    string? OlderLink,
    string? Problem);
