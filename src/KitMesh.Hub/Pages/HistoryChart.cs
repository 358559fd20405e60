namespace KitMesh.Hub.Pages;

/// <summary>Readings over time, by the hour.</summary>
/// <param name="FirstHour">Begin of the first hour, in seconds since 1970-01-01 UTC.</param>
/// <param name="Hours">How many hours.</param>
/// <param name="Lines">The lines.</param>
/// <param name="LeftOut">Lines that there are and that are not drawn.</param>
/// <param name="Told">Days that stand in for readings that are not here.</param>
/// <param name="Problem">Why there are none; null when all is well.</param>
public sealed record HistoryChart(long FirstHour, int Hours, IReadOnlyList<HistoryLine> Lines, int LeftOut, IReadOnlyList<HistoryDay> Told, string? Problem)
{
    /// <summary>The most lines: past that nobody tells them apart.</summary>
    public const int MostLines = 20;
}
