using System.Globalization;
using System.Text.RegularExpressions;
using KitMesh.Domain.Quantities;
using Microsoft.AspNetCore.Http;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Hub.Pages;

// Problem: a reader is used to a clock of 12 or 24 hours and to degrees of one kind, and the browser says where they are at home.
// Trap 1: the hub runs without a table of cultures (it must be small), so what is needed stands here. Trap 2: the makers' sheets
// of cells give their limits in °C; a page that shows only °F invites slips of the kind that ruins cells. Trap 3: words of the
// models carry times and temperatures inside sentences.
// Method: the region of the first language tag that has one decides. °F stands before °C, never instead of it. Sentences are
// rewritten here, at the rim, and nowhere else.
// Source: Unicode CLDR 48, supplemental timeData (regions that prefer "h"), read through ICU 78.2; the regions with °F are those of
// its unitPreferenceData for temperature, from memory.

/// <summary>How times and temperatures are written for one reader.</summary>
/// <param name="TwelveHours">Whether the clock has twelve hours.</param>
/// <param name="Fahrenheit">Whether °F stands before °C.</param>
internal sealed partial record PageLocale(bool TwelveHours, bool Fahrenheit)
{
    /// <summary>The cookie by which a reader asks for 24 hours and °C whatever the browser says.</summary>
    public const string Cookie = "units";

    /// <summary>Its value for that.</summary>
    public const string Plain = "plain";

    /// <summary>24 hours and °C.</summary>
    public static readonly PageLocale Standard = new(false, false);

    private const int LongestHeader = 200;

    private static readonly HashSet<string> TwelveHourRegions = [.. (
        "AE AG AL AR AS AU BB BD BH BM BN BO BS BT CA CL CO CR CU CY DJ DM DO DZ EC EG EH ER ET FJ FM GD GH GM GR GT GU GY HK HN IN IQ JM JO KH KI KN KP KR "
        + "KW KY LB LC LR LS LY MH MO MP MR MW MX MY NA NH NI NZ OM PA PE PG PH PK PR PS PW PY QA SA SB SD SG SL SO SS SV SY SZ TC TD TN TO TT TW UM US UY VC VE "
        + "VG VI VU WS YD YE ZM ZZ").Split(' ')];

    private static readonly HashSet<string> FahrenheitRegions = ["BS", "BZ", "KY", "PR", "PW", "US"];
    private static readonly LocalDateTimePattern Moment24 = LocalDateTimePattern.CreateWithInvariantCulture("d MMM HH':'mm");
    private static readonly LocalDateTimePattern Moment12 = LocalDateTimePattern.CreateWithInvariantCulture("d MMM h':'mm tt");
    private static readonly AsyncLocal<PageLocale?> Ambient = new();

    /// <summary>The reader whose page is being made; 24 hours and °C outside of a page.</summary>
    public static PageLocale Here
    {
        get => Ambient.Value ?? Standard;
        set => Ambient.Value = value;
    }

    /// <summary>What a request asks for.</summary>
    public static PageLocale Of(HttpRequest request) =>
        request.Cookies[Cookie] == Plain ? Standard : Of(request.Headers.AcceptLanguage.ToString());

    /// <summary>What a list of language tags asks for, such as <c>en-US,en;q=0.8</c> (RFC 9110, Accept-Language; RFC 5646, tags).</summary>
    public static PageLocale Of(string languages)
    {
        foreach (string tag in languages[..Math.Min(languages.Length, LongestHeader)].Split(','))
        {
            string[] parts = tag.Split(';')[0].Trim().Split('-');
            if (parts.Skip(1).FirstOrDefault(part => part.Length == 2 && part.All(char.IsAsciiLetter)) is { } region)
            {
                string known = region.ToUpperInvariant();
                bool isFrenchCanada = known == "CA" && parts[0].Equals("fr", StringComparison.OrdinalIgnoreCase); // The one exception by language.
                return new PageLocale(TwelveHourRegions.Contains(known) && !isFrenchCanada, FahrenheitRegions.Contains(known));
            }
        }

        return Standard;
    }

    /// <summary>A moment in the crew's civil time.</summary>
    public string Moment(LocalDateTime time) => (TwelveHours ? Moment12 : Moment24).Format(time);

    /// <summary>A temperature.</summary>
    public string Degrees(Celsius temperature) => Say(temperature.ToString());

    /// <summary>A sentence of a model, with its times and temperatures written for the reader.</summary>
    public string Say(string words)
    {
        string said = DateWords().Replace(words, match => LocalDatePattern.Iso.Parse(match.Value) is { Success: true, Value: var day } ? PageText.Day(day) : match.Value);
        if (Fahrenheit)
        {
            said = CelsiusWords().Replace(said, match => match.Groups["to"].Success
                ? $"{ToFahrenheit(match.Groups["from"].Value)} to {ToFahrenheit(match.Groups["to"].Value)} °F ({match.Value})"
                : $"{ToFahrenheit(match.Groups["from"].Value)} °F ({match.Value})");
        }

        return TwelveHours ? ClockWords().Replace(said, match => Twelve(match.Groups["h"].Value, match.Groups["m"].Value)) : said;
    }

    private static string ToFahrenheit(string celsius) =>
        string.Create(CultureInfo.InvariantCulture, $"{(double.Parse(celsius, CultureInfo.InvariantCulture) * 1.8) + 32:0}");

    private static string Twelve(string hours, string minutes)
    {
        int hour = int.Parse(hours, CultureInfo.InvariantCulture);
        return string.Create(CultureInfo.InvariantCulture, $"{(hour % 12 == 0 ? 12 : hour % 12)}:{minutes} {(hour < 12 ? "AM" : "PM")}");
    }

    [GeneratedRegex(@"(?<![\d.])(?<from>-?\d+(?:\.\d+)?)(?: to (?<to>-?\d+(?:\.\d+)?))? °C")]
    private static partial Regex CelsiusWords();

    [GeneratedRegex(@"(?<![\d:+\-])(?<h>[01]\d|2[0-3]):(?<m>[0-5]\d)(?!\d|:\d)")]
    private static partial Regex ClockWords();

    // Not those of paths: there the day is part of a name.
    [GeneratedRegex(@"(?<![\w/.\-])\d{4}-\d\d-\d\d(?![\w/\-])")]
    private static partial Regex DateWords();
}
