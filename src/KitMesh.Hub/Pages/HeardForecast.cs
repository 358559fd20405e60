using System.Globalization;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using Microsoft.AspNetCore.Http;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Hub.Pages;

/// <summary>A forecast that somebody heard by radio and types in: the outlook takes it in with the trust that it is given.</summary>
internal static class HeardForecast
{
    /// <summary>What the sky can be said to be, with the share of the clear-sky energy. The shares are common practice, no source.</summary>
    public static readonly IReadOnlyList<KeyValuePair<double, string>> Skies = [new(1, "clear"), new(0.75, "some clouds"), new(0.45, "mostly cloudy"), new(0.2, "dark clouds or snow")];

    /// <summary>How far it can be believed.</summary>
    public static readonly IReadOnlyList<KeyValuePair<double, string>> Trusts = [new(0.3, "a little"), new(0.6, "as usual"), new(0.9, "nearly sure")];

    private const double Coldest = -70;
    private const double Warmest = 55;

    /// <summary>Reads the form. A note beside the forecast says who heard it.</summary>
    /// <param name="form">The form.</param>
    /// <param name="author">Who types.</param>
    public static (IReadOnlyList<ReportBody> Bodies, string Refused) Read(IFormCollection form, string author)
    {
        if (!KitId.TryParse(form["item"], out KitId place) || place.Value.Length > WeatherLine.MaxPlaceLength || LocalDatePattern.Iso.Parse(form["day"].ToString()) is not { Success: true, Value: var day })
        {
            return ([], "day");
        }

        if (!IsOffered(Skies, form["sky"], out double sky, out string skyWords) || !IsOffered(Trusts, form["trust"], out double trust, out _))
        {
            return ([], "sky");
        }

        bool fahrenheit = form["unit"] == "F";
        if (!TryDegrees(form["night"], fahrenheit, out Celsius? night) || !TryDegrees(form["noon"], fahrenheit, out Celsius? noon) || night?.Value > noon?.Value)
        {
            return ([], "cold");
        }

        string told = $"forecast for {LocalDatePattern.Iso.Format(day)}: {skyWords}{(night is { } low ? $", night {low}" : "")}{(noon is { } high ? $", noon {high}" : "")}";
        return ([new KitDeclared(new WeatherLine(place, day, sky, night, noon, trust, Said: true), false), new Note(author, place, told)], "");
    }

    private static bool IsOffered(IReadOnlyList<KeyValuePair<double, string>> offered, string? text, out double share, out string words)
    {
        (share, words) = (0, "");
        if (!double.TryParse(text, NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out double asked) || !offered.Any(one => one.Key == asked))
        {
            return false;
        }

        (share, words) = offered.First(one => one.Key == asked);
        return true;
    }

    private static bool TryDegrees(string? text, bool fahrenheit, out Celsius? degrees)
    {
        degrees = null;
        if (string.IsNullOrWhiteSpace(text))
        {
            return true;
        }

        if (!double.TryParse(text, NumberStyles.AllowDecimalPoint | NumberStyles.AllowLeadingSign | NumberStyles.AllowLeadingWhite | NumberStyles.AllowTrailingWhite, CultureInfo.InvariantCulture, out double number))
        {
            return false;
        }

        double celsius = fahrenheit ? Math.Round((number - 32) / 1.8, 1) : number;
        degrees = new Celsius(celsius);
        return celsius is >= Coldest and <= Warmest;
    }
}
