using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.TripFile.Keys;
using KitMesh.TripFile.Reading;
using NodaTime;

namespace KitMesh.TripFile.Sections;

/// <summary><c>panelHabits:</c> becomes <see cref="PanelHabit"/>.</summary>
internal sealed class PanelHabitSection() : Section("panelHabits", "What setting panels out costs, and when wind or snow keeps them from working. Without the section: 15 min, no wind, no snow.")
{
    private static readonly QuantityKey Deploy = new(
        "deployTime", UnitFamily.Span, 0, 12, 0.25, "People's time to set the panels out and bring them in once. Common practice, no published source.", standard: 0.25);

    private static readonly NumberKey Worth = new("chancePerHour", 0, 1, 0.002, "Chance of running short that an hour of people's time is worth.", standard: 0.002);
    private static readonly NumberKey Limit = new("gustLimit", 1, 60, 14, "Panels come down on days with stronger gusts, m/s. Without the key: wind is left out.", required: false);
    private static readonly NumberKey Usual = new("usualGust", 0.5, 60, 8, "Median of a day's strongest gust, m/s; only used with gustLimit.", standard: 8);
    private static readonly NumberKey Snow = new("snowLoss", 0, 1, 0.3, "Most of the power that snow on the panel takes on a dull day. 0: somebody brushes it off.", standard: 0);

    public override bool IsSingle => true;

    public override IReadOnlyList<TripKey> Keys { get; } = [Deploy, Worth, Limit, Usual, Snow];

    protected override void Read(TripEntry entry)
    {
        double deployHours = entry.Get(Deploy, Deploy.Standard);
        double worth = entry.Get(Worth, Worth.Standard);
        double? limit = entry.Optional(Limit);
        double usual = entry.Get(Usual, Usual.Standard);
        double snow = entry.Get(Snow, Snow.Standard);
        if (entry.IsSound && limit is null && entry.Optional(Usual) is not null)
        {
            entry.Question(Usual.Name, "A usual gust without a gustLimit changes nothing.", "Add gustLimit, or leave it out.");
        }

        KitId id = KitId.Parse("panel habits");
        entry.Add(() => new PanelHabit(
            id, Duration.FromSeconds(Math.Round(deployHours * 3600)), worth, limit is { } gust ? new MetresPerSecond(gust) : null, new MetresPerSecond(usual), snow));
    }
}
