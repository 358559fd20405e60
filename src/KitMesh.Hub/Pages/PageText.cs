using System.Globalization;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Domain.State;
using KitMesh.Domain.Time;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Hub.Pages;

/// <summary>Words and numbers of the pages.</summary>
internal static class PageText
{
    private static readonly LocalDatePattern DayPattern = LocalDatePattern.CreateWithInvariantCulture("d MMM");

    public static string Iso(Instant instant) => InstantPattern.General.Format(instant);

    public static string Moment(Instant instant, Offset zone) => PageLocale.Here.Moment(instant.WithOffset(zone).LocalDateTime);

    /// <summary>Words of a model, with times and temperatures as the reader writes them.</summary>
    public static string Say(string words) => PageLocale.Here.Say(words);

    public static string Day(LocalDate day) => DayPattern.Format(day);

    /// <summary>How a day stands under its copy rule: what only wants a recheck is not short of copies.</summary>
    public static string RuleOf(DayRow day)
    {
        int missing = day.Clips - day.ClipsMet - day.OverdueClips;
        string recheck = day.OverdueClips == 0 ? "" : $"↻ recheck: {day.OverdueClips} of {day.Clips} overdue";
        return day.ClipsMet == day.Clips ? "✓ met by all"
            : missing == 0 ? recheck
            : $"✗ short: {missing} of {day.Clips}{(recheck.Length > 0 ? "; " + recheck : "")}";
    }

    public static string Percent(double share) => string.Create(CultureInfo.InvariantCulture, $"{share * 100:0} %");

    public static string WattHours(WattHours energy) => string.Create(CultureInfo.InvariantCulture, $"{energy.Value:#,0} Wh");

    public static string Hours(Duration duration) => duration.TotalHours < 48
        ? string.Create(CultureInfo.InvariantCulture, $"{duration.TotalHours:0} hours")
        : duration.TotalDays > 730 ? string.Create(CultureInfo.InvariantCulture, $"{duration.TotalDays / 365.25:0} years")
        : string.Create(CultureInfo.InvariantCulture, $"{duration.TotalDays:0.0} days");

    public static string Count(long count, string noun) => Count(count, noun, noun + "s");

    public static string Count(long count, string one, string many) => string.Create(CultureInfo.InvariantCulture, $"{count:#,0} {(count == 1 ? one : many)}");

    public static string Whole(double value) => value.ToString("#,0", CultureInfo.InvariantCulture);

    public static string Tenths(double value) => value.ToString("#,0.0", CultureInfo.InvariantCulture);

    public static string Minutes(Duration duration) => Count((long)Math.Ceiling(duration.TotalMinutes), "minute");

    public static string Spread(EnergySpread energy) => string.Create(CultureInfo.InvariantCulture, $"{energy.P50.Value:#,0} ({energy.P10.Value:#,0} to {energy.P90.Value:#,0})");

    /// <summary>What a device took on a day.</summary>
    public static string LoadDayWords(LoadDay? day) => day is null ? "not known"
        : day.By is { } hub ? $"{LoadDayWords(day with { By = null })} (second-hand, {hub.Value} told it {Age(day.ToldAgo)})"
        : day.IsWhole ? Whole(day.Taken.Value)
        : string.Create(CultureInfo.InvariantCulture, $"at least {day.Taken.Value:#,0} (seen {day.Seen.TotalHours:0.#} h)");

    public static string Age(Duration age)
    {
        if (age < Duration.Zero)
        {
            return "ahead of this hub's clock";
        }

        return age.TotalMinutes < 2 ? "just now"
            : age.TotalHours < 2 ? Count((long)age.TotalMinutes, "minute") + " ago"
            : age.TotalDays < 2 ? Count((long)age.TotalHours, "hour") + " ago"
            : Count((long)age.TotalDays, "day") + " ago";
    }

    /// <summary>How a node's clock stands.</summary>
    public static string ClockWords(NodeSeen seen)
    {
        if (seen.ClockAhead is not { } ahead)
        {
            return seen.Trust == ClockTrust.Unknown ? "not compared yet" : "good";
        }

        Duration off = ahead < Duration.Zero ? -ahead : ahead;
        return off < Duration.FromMinutes(1) ? "good" : $"{Hours(off)} {(ahead > Duration.Zero ? "ahead" : "behind")}";
    }

    public static string DayKindWord(DayKind kind) => kind switch
    {
        DayKind.Camp => "camp",
        DayKind.Travel => "travels",
        DayKind.Rest => "rests",
        DayKind.Storm => "storm",
        _ => throw new ArgumentOutOfRangeException(nameof(kind), kind, "There is no such day."),
    };

    public static string HealthWord(DriveHealth health) => health switch
    {
        DriveHealth.Unknown => "says nothing",
        DriveHealth.Passed => "passed its own test",
        DriveHealth.Warning => "warns",
        DriveHealth.Failing => "is failing",
        _ => throw new ArgumentOutOfRangeException(nameof(health), health, "There is no such health."),
    };

    public static string SourceWord(ReadingSource source) => source switch
    {
        ReadingSource.Measured => "measured",
        ReadingSource.Typed => "typed by a person",
        ReadingSource.Estimated => "the device's own estimate",
        _ => throw new ArgumentOutOfRangeException(nameof(source), source, "There is no such source."),
    };

    public static string WeightWord(AlertWeight weight) => weight switch
    {
        AlertWeight.Danger => "Danger",
        AlertWeight.Act => "Act soon",
        AlertWeight.Know => "Know",
        _ => throw new ArgumentOutOfRangeException(nameof(weight), weight, "There is no such weight."),
    };

    public static string WeightShape(AlertWeight weight) => weight switch
    {
        AlertWeight.Danger => "▲",
        AlertWeight.Act => "■",
        AlertWeight.Know => "●",
        _ => throw new ArgumentOutOfRangeException(nameof(weight), weight, "There is no such weight."),
    };

    public static string WeightClass(AlertWeight weight) => weight == AlertWeight.Danger ? "danger" : weight == AlertWeight.Act ? "act" : "know";

    public static string CardWord(CardState state) => state switch
    {
        CardState.OnHold => "on hold, do not format",
        CardState.MayBeFormatted => "may be formatted",
        CardState.Formatted => "formatted, footage safe under the rule",
        CardState.FormattedShort => "formatted, and footage is short of copies",
        CardState.NotSeen => "never read by a station, do not format",
        _ => throw new ArgumentOutOfRangeException(nameof(state), state, "There is no such state."),
    };

    public static string CardShape(CardState state) => state switch
    {
        CardState.OnHold => "✗",
        CardState.MayBeFormatted => "✓",
        CardState.Formatted => "○",
        CardState.FormattedShort => "▲",
        CardState.NotSeen => "?",
        _ => throw new ArgumentOutOfRangeException(nameof(state), state, "There is no such state."),
    };

    public static string CardClass(CardState state) => state switch
    {
        CardState.FormattedShort => "danger",
        CardState.OnHold or CardState.NotSeen => "act",
        _ => "know",
    };
}
