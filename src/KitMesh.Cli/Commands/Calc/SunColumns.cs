using KitMesh.Domain.Quantities;
using KitMesh.Models.Sky;
using KitMesh.Models.Sun;
using NodaTime;

namespace KitMesh.Cli.Commands.Calc;

/// <summary>The columns that say where and when, shared by sun, sky and panel.</summary>
internal static class SunColumns
{
    public static readonly CalcColumn[] All =
    [
        new("utc", "UTC time like 2027-02-11T06:30:00Z."),
        new("lat_deg_north", "Latitude in degrees, north positive, -90 to 90."),
        new("lon_deg_east", "Longitude in degrees, east positive, -180 to 180."),
        new("elev_m", "Height above the sea in metres, -500 to 9,000.", "0"),
        new("pressure_hPa", "Air pressure on the spot in hPa, 0 to 1,200; of the standard atmosphere when empty.", ""),
        new("temp_C", "Air temperature in °C, -100 to 70.", "0"),
        new("deltaT_s", "Terrestrial minus universal time in seconds.", "69.2"),
    ];

    public static (SunPosition Sun, SunSite Site) Read(CalcRow row)
    {
        var elevation = new Metres(row.Number("elev_m", -500, 9_000));
        Hectopascals pressure = row.Has("pressure_hPa") ? new(row.Number("pressure_hPa", 0, 1_200)) : StandardAtmosphere.PressureAt(elevation);
        var site = new SunSite(
            new(row.Number("lat_deg_north", -90, 90)), new(row.Number("lon_deg_east", -180, 180)), elevation, pressure, new(row.Number("temp_C", -100, 70)));
        return (SolarPosition.At(row.Time("utc"), site, Duration.FromSeconds(row.Number("deltaT_s", -10_000, 100_000))), site);
    }
}
