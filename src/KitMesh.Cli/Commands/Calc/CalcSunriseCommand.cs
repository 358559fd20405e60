using KitMesh.Models.Sun;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Cli.Commands.Calc;

/// <summary><c>kitmesh calc sunrise</c>: rise, noon and set around the local noon of a date.</summary>
internal sealed class CalcSunriseCommand : CalcVerb
{
    private static readonly InstantPattern Second = InstantPattern.CreateWithInvariantCulture("uuuu'-'MM'-'dd'T'HH':'mm':'ss'Z'");

    public override string Name => "sunrise";

    public override string Meaning => "Sunrise, noon and sunset around the local noon of a UTC date; polar day and night are said so (upper limb, 34' of refraction, sea level).";

    public override CalcColumn[] Inputs =>
    [
        new("utc_date", "Date like 2027-02-11."),
        new("lat_deg_north", "Latitude in degrees, north positive, -90 to 90."),
        new("lon_deg_east", "Longitude in degrees, east positive, -180 to 180."),
    ];

    public override string[] Outputs => ["state", "sunrise_utc", "transit_utc", "sunset_utc", "day_length_h"];

    public override CalcAnswer Compute(CalcRow row)
    {
        SunDay day = SunEvents.Around(row.Date("utc_date"), new(row.Number("lat_deg_north", -90, 90)), new(row.Number("lon_deg_east", -180, 180)));
        string state = day.State switch
        {
            SunDayState.PolarDay => "polar_day",
            SunDayState.PolarNight => "polar_night",
            _ => "normal",
        };
        return new CalcAnswer([state, Text(day.Sunrise), Text(day.Transit), Text(day.Sunset), day.DayLength.TotalHours]);
    }

    private static string? Text(Instant? time) => time is { } t ? Second.Format(t + Duration.FromMilliseconds(500)) : null;
}
