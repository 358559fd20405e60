using System.Globalization;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Results;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Hub.Pages;

/// <summary>Words and numbers of the pages.</summary>
internal static class PageText
{
    private static readonly LocalDateTimePattern MomentPattern = LocalDateTimePattern.CreateWithInvariantCulture("d MMM HH':'mm");
    private static readonly LocalDatePattern DayPattern = LocalDatePattern.CreateWithInvariantCulture("d MMM");

    public static string Iso(Instant instant) => InstantPattern.General.Format(instant);

    public static string Moment(Instant instant, Offset zone) => MomentPattern.Format(instant.WithOffset(zone).LocalDateTime);

    public static string Day(LocalDate day) => DayPattern.Format(day);

    public static string Percent(double share) => string.Create(CultureInfo.InvariantCulture, $"{share * 100:0} %");

    public static string WattHours(WattHours energy) => string.Create(CultureInfo.InvariantCulture, $"{energy.Value:#,0} Wh");

    public static string Hours(Duration duration) => duration.TotalHours < 48
        ? string.Create(CultureInfo.InvariantCulture, $"{duration.TotalHours:0} hours")
        : string.Create(CultureInfo.InvariantCulture, $"{duration.TotalDays:0.0} days");

    public static string Count(long count, string noun) => string.Create(CultureInfo.InvariantCulture, $"{count:#,0} {noun}{(count == 1 ? "" : "s")}");

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
        CardState.OnHold => "✋",
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
