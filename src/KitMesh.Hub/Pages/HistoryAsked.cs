namespace KitMesh.Hub.Pages;

/// <summary>Which readings over which time the page "Readings over time" was asked for.</summary>
/// <param name="Subject">What is drawn.</param>
/// <param name="Days">How many days back.</param>
public sealed record HistoryAsked(HistorySubject Subject, int Days)
{
    /// <summary>The most days: a long trip.</summary>
    public const int MostDays = 60;

    private const int UsualDays = 7;

    /// <summary>Spans that the page offers.</summary>
    public static readonly IReadOnlyList<int> Offered = [1, 3, UsualDays, 26, MostDays];

    /// <summary>From what was asked, brought into range.</summary>
    /// <param name="what">The word of a subject.</param>
    /// <param name="days">Days.</param>
    public static HistoryAsked Of(string? what, string? days) => new(
        HistorySubject.All.FirstOrDefault(subject => subject.Word == what) ?? HistorySubject.All[0],
        int.TryParse(days, System.Globalization.NumberStyles.None, System.Globalization.CultureInfo.InvariantCulture, out int asked) ? Math.Clamp(asked, 1, MostDays) : UsualDays);

    /// <summary>Where its numbers are.</summary>
    public string DataLink => string.Create(System.Globalization.CultureInfo.InvariantCulture, $"/charts/data.json?what={Subject.Word}&days={Days}");
}
