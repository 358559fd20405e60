using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.TripFile.Keys;
using KitMesh.TripFile.Reading;
using NodaTime;

namespace KitMesh.TripFile.Sections;

/// <summary><c>calendar:</c> lines cover a day or a span of days; each becomes one <see cref="CalendarDay"/> a day.</summary>
internal sealed class CalendarSection() : Section("calendar", "Days that are not ordinary camp days: travel, rest, storm, another place, fewer panel hours.")
{
    private const int MaxSpan = 400;

    private static readonly UseKey Team = new("team", "ridge team", "The team.", true, KitKind.Team);
    private static readonly DayKey From = new("from", "The first day of the span.");
    private static readonly DayKey To = new("to", "The last day of the span. Without the key: the first day.", required: false);

    private static readonly WordKey<DayKind> Kind = new(
        "kind",
        "What the team does: camp (panels can stand), travel (panels are packed), rest, storm (panels stay down).",
        "camp",
        ("camp", DayKind.Camp),
        ("travel", DayKind.Travel),
        ("rest", DayKind.Rest),
        ("storm", DayKind.Storm));

    private static readonly UseKey Where = new("where", "valley hide", "Where it sleeps. Without the key: the team's home.", false, KitKind.Place);
    private static readonly QuantityKey PanelHours = new("panelHours", UnitFamily.Span, 0, 24, 5, "Hours that somebody is there to keep panels out. Without the key: all of daylight.", required: false);

    public override IReadOnlyList<TripKey> Keys { get; } = [Team, From, To, Kind, Where, PanelHours];

    protected override void Read(TripEntry entry)
    {
        KitId team = entry.Get(Team);
        LocalDate from = entry.Get(From);
        LocalDate to = entry.Get(To, from);
        DayKind kind = entry.Get(Kind, Kind.Standard);
        KitId? where = entry.Optional(Where);
        double? hours = entry.Optional(PanelHours);
        if (entry.IsSound && (to < from || Period.DaysBetween(from, to) >= MaxSpan))
        {
            entry.Error(To.Name, $"The span from {from:uuuu-MM-dd} to {to:uuuu-MM-dd} is no span of 1 to {MaxSpan} days.", "Exchange the days, or mend the year.");
        }

        if (entry.IsSound && kind is DayKind.Travel or DayKind.Storm && hours > 0)
        {
            entry.Question(PanelHours.Name, $"Panels would stand for {hours} h on a {kind.ToString().ToLowerInvariant()} day.", "They stay packed on such days; leave the key out, or write \"kind: camp\" if they do stand.");
        }

        for (LocalDate day = from; entry.IsSound && day <= to; day = day.PlusDays(1))
        {
            if (!KitId.TryParse($"{team} {day:uuuu'-'MM'-'dd}", out KitId id))
            {
                entry.Error(Team.Name, "The team's name is too long for a calendar.", $"Use at most {KitId.MaxLength - 11} characters.");
                return;
            }

            entry.Ledger.Declare(KitKind.CalendarDay, id, entry.Line, entry.Path);
            entry.Ledger.Items.Add(new CalendarDay(team, day, kind, where, hours));
        }
    }
}
