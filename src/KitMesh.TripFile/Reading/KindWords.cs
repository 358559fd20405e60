using KitMesh.Domain.Kit;

namespace KitMesh.TripFile.Reading;

/// <summary>How messages and sections call the kinds of kit.</summary>
internal static class KindWords
{
    private static readonly Dictionary<KitKind, (string One, string Section)> Words = new()
    {
        [KitKind.Trip] = ("trip", "trip"),
        [KitKind.Place] = ("place", "places"),
        [KitKind.Team] = ("team", "teams"),
        [KitKind.Person] = ("person", "people"),
        [KitKind.CalendarDay] = ("day", "calendar"),
        [KitKind.Bank] = ("bank", "banks"),
        [KitKind.Pack] = ("pack", "packs"),
        [KitKind.Box] = ("box", "boxes"),
        [KitKind.Panel] = ("panel", "panels"),
        [KitKind.Load] = ("load", "loads"),
        [KitKind.Outlet] = ("outlet", "outlets"),
        [KitKind.FootageSource] = ("source", "sources"),
        [KitKind.Card] = ("card", "cards"),
        [KitKind.Drive] = ("drive", "drives"),
        [KitKind.Case] = ("case", "cases"),
        [KitKind.CopyRule] = ("copy rule", "copyRules"),
        [KitKind.WatchedAgent] = ("agent", "agents"),
        [KitKind.LossFigure] = ("loss figure", "lossFigures"),
        [KitKind.SharedDanger] = ("shared danger", "sharedDangers"),
        [KitKind.WeatherLine] = ("weather line", "weather"),
        [KitKind.PanelHabit] = ("panel habit", "panelHabits"),
    };

    public static string Singular(KitKind kind) => Words[kind].One;

    public static string Section(KitKind kind) => Words[kind].Section;

    public static string Plural(KitKind kind) => kind is KitKind.CopyRule or KitKind.LossFigure or KitKind.SharedDanger or KitKind.WeatherLine or KitKind.PanelHabit
        ? $"{Singular(kind)}s"
        : Section(kind);
}
