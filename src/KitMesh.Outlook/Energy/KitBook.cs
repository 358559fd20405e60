using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Outlook.Energy;

/// <summary>The declared kit by what energy asks for.</summary>
internal sealed class KitBook
{
    private readonly Dictionary<KitId, Place> _places;
    private readonly Dictionary<KitId, Team> _teams;
    private readonly Dictionary<(KitId Team, LocalDate Day), CalendarDay> _calendar;
    private readonly Dictionary<KitId, Box> _boxes;
    private readonly ILookup<KitId, Pack> _packs;
    private readonly ILookup<KitId, Panel> _panels;
    private readonly ILookup<KitId, Load> _loads;
    private readonly ILookup<KitId, Outlet> _outlets;
    private readonly ILookup<KitId, Person> _people;

    internal KitBook(ValueList<KitItem> kit, Instant now, List<EnergyAssumption> assumptions)
    {
        Trip? trip = kit.OfType<Trip>().FirstOrDefault();
        Zone = trip?.ZoneOffset ?? Offset.Zero;
        Today = now.WithOffset(Zone).Date;
        LastDay = trip?.LastDay ?? Today.PlusDays(7);
        if (trip is null)
        {
            assumptions.Add(new EnergyAssumption(Named("trip"), "seven days from now, civil time UTC", "no trip is declared: send the trip file", true));
        }
        else if (LastDay < Today)
        {
            assumptions.Add(new EnergyAssumption(trip.Id, "today only", "the trip's last day has passed", false));
            LastDay = Today;
        }

        _places = Index(kit.OfType<Place>());
        _teams = Index(kit.OfType<Team>());
        _boxes = Index(kit.OfType<Box>());
        _calendar = kit.OfType<CalendarDay>().GroupBy(day => (day.Team, day.Day)).ToDictionary(group => group.Key, group => group.Last());
        _packs = kit.OfType<Pack>().Where(pack => pack.Bank is not null).ToLookup(pack => pack.Bank!.Value);
        _panels = kit.OfType<Panel>().ToLookup(panel => panel.Bank);
        _loads = kit.OfType<Load>().ToLookup(load => load.Bank);
        _people = kit.OfType<Person>().ToLookup(person => person.Team);
        _outlets = kit.OfType<Outlet>().ToLookup(outlet => outlet.Bank);
        // What was said on the way goes before the trip file; an impossible line is kept and shown, and left out here.
        Forecast =
        [
            .. kit.OfType<WeatherLine>().Where(line => line.ClearSkyShare is >= 0 and <= 1 && line.Trust is > 0 and <= 1).OrderBy(line => line.Said)
                .Select(line => new SkyForecast(line.Place, line.Day, line.ClearSkyShare, Plausible(line.Night), Plausible(line.DayTime), line.Trust)),
        ];
        Settings = kit.OfType<PanelHabit>().Where(IsPossible).OrderBy(habit => habit.Id).FirstOrDefault() is { } habit
            ? new EnergySettings(habit.DeployTime, habit.ChancePerHour, habit.GustLimit, habit.UsualGust, habit.SnowLoss)
            : EnergySettings.Default;
        Say(assumptions);
        Banks = [.. kit.OfType<Bank>().OrderBy(bank => bank.Team).ThenBy(bank => bank.Id)];
    }

    internal Offset Zone { get; }

    internal LocalDate Today { get; }

    internal LocalDate LastDay { get; }

    internal IReadOnlyList<Bank> Banks { get; }

    /// <summary>Weather that was typed in, the later word last.</summary>
    internal IReadOnlyList<SkyForecast> Forecast { get; }

    /// <summary>What the crew decided about its panels.</summary>
    internal EnergySettings Settings { get; }

    internal int Days => Period.DaysBetween(Today, LastDay) + 1;

    internal IReadOnlyList<Pack> PacksOf(Bank bank) => [.. _packs[bank.Id].OrderBy(pack => pack.Id)];

    internal IReadOnlyList<Panel> PanelsOf(Bank bank) => [.. _panels[bank.Id].OrderBy(panel => panel.Id)];

    internal IReadOnlyList<Load> LoadsOf(Bank bank) =>
        [.. _loads[bank.Id].OrderBy(load => load.Class).ThenBy(load => load.Priority).ThenBy(load => load.Id)];

    internal IReadOnlyList<Outlet> OutletsOf(Bank bank) => [.. _outlets[bank.Id].OrderBy(outlet => outlet.Id)];

    internal int PeopleOf(KitId team) => _people[team].Count();

    internal Box? BoxOf(Bank bank) => bank.Box is { } id ? _boxes.GetValueOrDefault(id) : null;

    internal CalendarDay? DayOf(KitId team, LocalDate day) => _calendar.GetValueOrDefault((team, day));

    internal DayKind KindOf(KitId team, LocalDate day) => DayOf(team, day)?.DayKind ?? DayKind.Camp;

    /// <summary>Where a team sleeps; null when no place is declared for it, or one outside what the models are made for.</summary>
    internal Place? PlaceOf(KitId team, LocalDate day)
    {
        KitId? where = DayOf(team, day)?.Where ?? (_teams.TryGetValue(team, out Team? found) ? found.Home : null);
        return where is { } id && _places.TryGetValue(id, out Place? place) && SiteBook.InRange(place) ? place : null;
    }

    internal Instant StartOf(LocalDate day) => day.AtMidnight().WithOffset(Zone).ToInstant();

    // What was typed in is part of what the answer rests on; a line for a place that nobody declared would be lost without a word.
    private void Say(List<EnergyAssumption> assumptions)
    {
        foreach (IGrouping<KitId, SkyForecast> place in Forecast.Where(line => line.Day >= Today && line.Day <= LastDay).GroupBy(line => line.Place).OrderBy(group => group.Key))
        {
            bool known = _places.ContainsKey(place.Key);
            int days = place.Select(line => line.Day).Distinct().Count();
            assumptions.Add(new EnergyAssumption(
                place.Key,
                known ? $"a typed forecast for {days} {(days == 1 ? "day" : "days")}" : "nothing of a typed forecast",
                known ? "somebody typed it in; it counts with its trust against climate and the days before" : "no such place is declared: mend the place's name",
                false));
        }
    }

    private static bool IsPossible(PanelHabit habit) =>
        habit.ChancePerHour is >= 0 and <= 1 && habit.SnowLoss is >= 0 and <= 1 && habit.UsualGust.Value is > 0 and < 150 && habit.GustLimit is null or { Value: > 0 and < 150 };

    private static Celsius? Plausible(Celsius? told) => told is { Value: > -90 and < 60 } ? told : null;

    internal static KitId Named(string text) => KitId.Parse(text);

    private static Dictionary<KitId, T> Index<T>(IEnumerable<T> items)
        where T : KitItem =>
        items.GroupBy(item => item.Id).ToDictionary(group => group.Key, group => group.Last());
}
