using KitMesh.Models.Sun;
using KitMesh.Tests.Published;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Tests.Models.Sun;

/// <summary>sun-events.csv: rise, transit and set from PyEphem 4.1.4 (centre at -0.8333°, sea level).</summary>
public sealed class SunEventsTests
{
    public static TheoryData<int> Rows => [.. Enumerable.Range(0, PublishedTable.Load("sun-events.csv").Count)];

    [Theory]
    [MemberData(nameof(Rows))]
    public void Around_IndependentEphemeris_AgreesWithinTwoSeconds(int index)
    {
        PublishedRow row = PublishedTable.Load("sun-events.csv").Rows[index];
        LocalDate date = LocalDatePattern.Iso.Parse(row["utc_date"]).Value;

        SunDay day = SunEvents.Around(date, new(row.Number("lat_deg_north")), new(row.Number("lon_deg_east")));

        Assert.Equal(SunDayState.Normal, day.State);
        Near(row["ephem_sunrise_utc"], day.Sunrise!.Value);
        Near(row["ephem_transit_utc"], day.Transit);
        Near(row["ephem_sunset_utc"], day.Sunset!.Value);
        Assert.Equal(row.Number("day_length_h"), day.DayLength.TotalHours, 0.002);
    }

    // pvlib tests/test_spa.py and test_solarposition.py: published rise and set, rounded to seconds there.
    [Theory]
    [InlineData(1996, 7, 5, -35, 0, "07:08:15", "12:04:36", "17:01:04")]
    [InlineData(2004, 12, 4, -35, 0, "04:38:57", "11:50:22", "19:02:03")]
    public void Around_ReportExamples_AgreesWithinTwoSeconds(int year, int month, int day, double lat, double lon, string rise, string transit, string set)
    {
        string date = $"{year:0000}-{month:00}-{day:00}T";

        SunDay events = SunEvents.Around(new LocalDate(year, month, day), new(lat), new(lon), Duration.FromSeconds(64.5));

        Near($"{date}{rise}Z", events.Sunrise!.Value);
        Near($"{date}{transit}Z", events.Transit);
        Near($"{date}{set}Z", events.Sunset!.Value);
    }

    [Theory]
    [InlineData(2025, 6, 21, 78.22, 15.65, SunDayState.PolarDay, 24)]
    [InlineData(2025, 12, 21, 78.22, 15.65, SunDayState.PolarNight, 0)]
    [InlineData(2025, 12, 21, -75.1, 123.33, SunDayState.PolarDay, 24)]
    [InlineData(2025, 6, 21, -75.1, 123.33, SunDayState.PolarNight, 0)]
    public void Around_PolarSolstices_SaysSo(int year, int month, int day, double lat, double lon, SunDayState state, double hours)
    {
        // Geometry alone: past the polar circles at the solstices the sun neither sets nor rises.
        SunDay events = SunEvents.Around(new LocalDate(year, month, day), new(lat), new(lon));

        Assert.Equal(state, events.State);
        Assert.Equal(hours, events.DayLength.TotalHours);
        Assert.Null(events.Sunrise);
        Assert.Null(events.Sunset);
    }

    private static void Near(string expected, Instant actual) =>
        Assert.InRange((actual - InstantPattern.General.Parse(expected).Value).TotalSeconds, -2, 2);
}
