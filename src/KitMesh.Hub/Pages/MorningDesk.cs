using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Domain.State;
using NodaTime;

namespace KitMesh.Hub.Pages;

// Problem: before first light somebody must know what can film today, for how long, who wears it, and what to keep warm.
// Trap: a full battery of yesterday, or a card that is on hold, looks the same as one that is ready.
// Method: the newest charge counts only while it is younger than a night; a card counts only when the ledger lets it be
// formatted or it is formatted already; hours come from a measured draw and a measured bit rate, and where nothing was
// measured from the ordinary day of the trip file, which is said. What is not known is "unknown" and makes nothing ready.

/// <summary>Gathers what the page "Morning" shows.</summary>
internal static class MorningDesk
{
    /// <summary>The word with which a note begins that says that a device's timecode was set.</summary>
    public const string TimecodeSet = "timecode set";

    /// <summary>With less room than this many hours nobody goes out to film. Common practice, no published source.</summary>
    private const double LeastHours = 0.5;

    private static readonly Duration NewsOfANight = Duration.FromHours(14);
    private static readonly Duration TimecodeHolds = Duration.FromHours(20);

    /// <summary>The page.</summary>
    /// <param name="state">The merged state.</param>
    /// <param name="ledger">The ledger, with the newest clips.</param>
    /// <param name="energy">The energy outlook; null when it could not be computed.</param>
    /// <param name="now">World time.</param>
    public static MorningModel Of(TripState state, LedgerView ledger, EnergyOutlook? energy, Instant now)
    {
        FootageSource[] sources = [.. state.KitOf<FootageSource>().OrderBy(source => source.Team).ThenBy(source => source.Id)];
        return new MorningModel(
            PageHeads.Of(state, now),
            [.. sources.Select(source => Row(source, state, ledger, now))],
            [.. CarryWarm(sources, state)],
            [.. (energy?.Banks ?? []).Select(bank => PageText.Say($"{bank.Bank}: {PackCaution.Without(bank.Readiness.Words)}"))]);
    }

    private static MorningRow Row(FootageSource source, TripState state, LedgerView ledger, Instant now)
    {
        List<string> todo = [];
        return new MorningRow(
            source.Id,
            source.Team,
            Battery(source, state, now, todo, out string battery) & Memory(source, state, ledger, todo, out string memory),
            battery,
            memory,
            Holder(source, state),
            Timecode(source, state, now, todo),
            todo);
    }

    private static bool Battery(FootageSource source, TripState state, Instant now, List<string> todo, out string words)
    {
        if (source.Load is not { } id || state.KitOf<Load>().FirstOrDefault(load => load.Id == id) is not { } device)
        {
            words = "no battery declared";
            return true;
        }

        if (!state.Loads.TryGetValue(id, out Stamped<LoadReading>? reading) || reading.Body.Charge is not { Value: >= 0 and <= 1 } charge)
        {
            words = "unknown";
            todo.Add("look at its battery and type the charge in");
            return false;
        }

        bool isFresh = now - reading.Time <= NewsOfANight;
        words = $"{charge}{Lasting(device, reading.Body, charge)}, seen {PageText.Age(now - reading.Time)}";
        if (!isFresh)
        {
            todo.Add("its charge is old news: look again");
        }
        else if (charge.Value < 0.5)
        {
            todo.Add("charge or swap its battery");
        }

        return isFresh && charge.Value >= 0.5;
    }

    private static string Lasting(Load device, LoadReading reading, StateOfCharge charge)
    {
        if (device.Battery is not { Value: > 0 } battery)
        {
            return "";
        }

        double left = charge.Value * battery.Value;
        return reading is { Activity: ChargeActivity.Discharging, Watts: { Value: > 0 } draw }
            ? $", about {PageText.Tenths(left / draw.Value)} h at {draw}"
            : device.PerDay.Value > 0 ? $", about {PageText.Tenths(left / device.PerDay.Value)} ordinary days while warm" : "";
    }

    private static bool Memory(FootageSource source, TripState state, LedgerView ledger, List<string> todo, out string words)
    {
        Card[] own = [.. state.KitOf<Card>().Where(card => card.Source == source.Id)];
        var verdicts = ledger.Cards.ToDictionary(card => card.Card, card => card.State);
        Card[] free = [.. own.Where(card => verdicts.GetValueOrDefault(card.Id, CardState.NotSeen) is CardState.MayBeFormatted or CardState.Formatted)];
        int held = own.Count(card => verdicts.GetValueOrDefault(card.Id, CardState.NotSeen) == CardState.OnHold);
        if (own.Length == 0)
        {
            words = "no card declared";
            todo.Add("see that it has a card");
            return false;
        }

        if (free.Length == 0)
        {
            words = $"unknown: no card is known to be free{(held > 0 ? $", {held} on hold" : "")}";
            todo.Add(held > 0 ? "offload a card, or take one that nobody declared" : "look what is on its card");
            return false;
        }

        double bytes = free.Sum(card => (double)card.Capacity.Value);
        double? hours = HoursIn(source, ledger, bytes);
        words = $"{PageText.Count(free.Length, "card")} free{Room(source, hours, bytes)}{(held > 0 ? $"; {held} on hold" : "")}";
        if (hours < LeastHours)
        {
            todo.Add("take a larger card or one more: its free cards hold less than half an hour");
            return false;
        }

        return true;
    }

    /// <summary>What its free cards hold at the bit rate of what it recorded so far; null while nothing tells that rate.</summary>
    private static double? HoursIn(FootageSource source, LedgerView ledger, double bytes)
    {
        ClipRow[] timed = [.. ledger.Clips.Where(clip => clip.Source == source.Id && clip.Length is { } length && length > Duration.Zero)];
        double seconds = timed.Sum(clip => clip.Length!.Value.TotalSeconds);
        double written = timed.Sum(clip => (double)clip.Size.Value);
        return seconds > 0 && written > 0 ? bytes / (written / seconds) / 3600 : null;
    }

    private static string Room(FootageSource source, double? hours, double bytes) =>
        hours is { } known ? $", about {(known < 1 ? $"{PageText.Tenths(known * 60)} min" : $"{PageText.Tenths(known)} h")} at its own bit rate"
            : source.GigabytesPerDay > 0 ? $", about {PageText.Tenths(bytes / 1e9 / source.GigabytesPerDay)} ordinary days"
            : "";

    private static string Holder(FootageSource source, TripState state) =>
        (state.HolderOf(source.Id) ?? (source.Load is { } load ? state.HolderOf(load) : null))?.Value ?? "not said";

    private static string Timecode(FootageSource source, TripState state, Instant now, List<string> todo)
    {
        Instant? set = state.Notes
            .Where(note => note.Value.Subject == source.Id && note.Value.Text.StartsWith(TimecodeSet, StringComparison.OrdinalIgnoreCase))
            .Select(note => (Instant?)note.Key.Time)
            .LastOrDefault();
        if (set is { } at && now - at <= TimecodeHolds)
        {
            return $"set {PageText.Age(now - at)}";
        }

        todo.Add("set its timecode and say so");
        return set is { } old ? $"set {PageText.Age(now - old)}: set it again" : "not said";
    }

    private static IEnumerable<string> CarryWarm(FootageSource[] sources, TripState state)
    {
        var places = state.KitOf<Place>().ToDictionary(place => place.Id);
        var batteries = state.KitOf<Load>().Where(load => load.Battery is not null).Select(load => load.Id).ToHashSet();
        foreach (Team team in state.KitOf<Team>())
        {
            KitId[] devices = [.. sources.Where(source => source.Team == team.Id && source.Load is { } load && batteries.Contains(load)).Select(source => source.Id)];
            if (devices.Length > 0 && places.TryGetValue(team.Home, out Place? place) && place.DayTemperature < new Celsius(5))
            {
                yield return $"{team.Id}: batteries of {string.Join(", ", devices)} against the body, not in the bag. Usual there: {PageLocale.Here.Degrees(place.DayTemperature)} by day, {PageLocale.Here.Degrees(place.NightTemperature)} at night.";
            }
        }
    }
}
