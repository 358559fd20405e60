using KitMesh.Domain.Quantities;
using KitMesh.Models.Sun;
using KitMesh.Tests.Published;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Tests.Models.Sun;

/// <summary>
/// sun-positions.csv: positions from ERFA (IAU 2006/2000A), PyEphem 4.1.4 and pysolar 0.10, computed apart from this code; UT1 taken as UTC.
/// </summary>
public sealed class SolarPositionTableTests
{
    public static TheoryData<int> Rows => [.. Enumerable.Range(0, PublishedTable.Load("sun-positions.csv").Count)];

    [Theory]
    [MemberData(nameof(Rows))]
    public void At_IndependentEphemerides_AgreeWithinGates(int index)
    {
        (PublishedRow row, SunPosition sun) = Compute(index);

        double azimuthGate = 0.001 / Math.Cos(sun.Geometric.Radians);
        Assert.Equal(row.Number("geometric_elev_erfa_deg"), sun.Geometric.Value, 0.001);
        Assert.Equal(row.Number("geometric_elev_ephem_deg"), sun.Geometric.Value, 0.001);
        Assert.Equal(row.Number("azimuth_erfa_deg"), sun.Azimuth.Value, azimuthGate);
        Assert.Equal(row.Number("azimuth_ephem_deg"), sun.Azimuth.Value, azimuthGate);
        double apparentGate = sun.Apparent.Value > 3 ? 0.005 : 0.03;
        Assert.Equal(row.Number("apparent_elev_spa_deg"), sun.Apparent.Value, apparentGate);
        Assert.Equal(row.Number("apparent_elev_ephem_deg"), sun.Apparent.Value, apparentGate);
        Assert.Equal(row.Number("apparent_elev_pysolar_deg"), sun.Apparent.Value, apparentGate + 0.001);
        Assert.Equal(row.Number("equation_of_time_min"), sun.EquationOfTime.TotalMinutes, 0.01);
    }

    [Theory]
    [MemberData(nameof(Rows))]
    public void SunTable_SameRows_AgreesWithTheFullAlgorithm(int index)
    {
        (PublishedRow row, SunPosition full) = Compute(index);
        Instant time = Time(row);
        var table = new SunTable(Site(row), time - Duration.FromHours(31), time + Duration.FromDays(40), DeltaT(row));

        SunPosition tabled = table.At(time);

        Assert.Equal(full.Geometric.Value, tabled.Geometric.Value, 1e-4);
        Assert.Equal(full.Azimuth.Value, tabled.Azimuth.Value, 1e-4 / Math.Cos(full.Geometric.Radians));
        Assert.Equal(full.DistanceAu, tabled.DistanceAu, 1e-6);
        Assert.Equal(full.EquationOfTime.TotalMinutes, tabled.EquationOfTime.TotalMinutes, 0.02);
    }

    private static (PublishedRow Row, SunPosition Sun) Compute(int index)
    {
        PublishedRow row = PublishedTable.Load("sun-positions.csv").Rows[index];
        return (row, SolarPosition.At(Time(row), Site(row), DeltaT(row)));
    }

    private static Instant Time(PublishedRow row) => InstantPattern.General.Parse(row["utc"]).Value;

    private static Duration DeltaT(PublishedRow row) => Duration.FromSeconds(row.Number("deltaT_s"));

    private static SunSite Site(PublishedRow row) => new(
        new(row.Number("lat_deg_north")),
        new(row.Number("lon_deg_east")),
        new(row.Number("elev_m")),
        new(row.Number("pressure_hPa")),
        new(row.Number("temp_C")));
}
