using KitMesh.Domain.Quantities;
using KitMesh.Models.Panel;
using KitMesh.Models.Sky;
using KitMesh.Tests.Published;
using NodaTime;

namespace KitMesh.Tests.Models.Sky;

/// <summary>
/// irradiance.csv: every row of the published and independently computed values of sky, transposition, cell temperature and DC power; each row names its source.
/// Models that KitMesh does not have (Klucher, Reindl, Perez-Driesse) are listed by name in <see cref="NotBuilt"/>.
/// </summary>
public sealed class IrradianceTableTests
{
    private static readonly string[] NotBuilt = ["transposition:klucher", "transposition:reindl", "transposition:perez_driesse"];

    private static readonly PublishedTable Table = PublishedTable.Load("irradiance.csv");

    public static TheoryData<string> Ids => [.. Table.Rows.Where(row => !NotBuilt.Contains(row["model"])).Select(row => row["id"])];

    [Theory]
    [MemberData(nameof(Ids))]
    public void Model_PublishedRow_AgreesWithinItsTolerance(string id)
    {
        PublishedRow row = Table.Rows.Single(row => row["id"] == id);
        string[] tolerance = row["tolerance"].Split(' ');
        double allowed = tolerance[0] switch
        {
            "rel" => double.Parse(tolerance[1], System.Globalization.CultureInfo.InvariantCulture) * Math.Abs(row.Expected),
            "abs" => double.Parse(tolerance[1], System.Globalization.CultureInfo.InvariantCulture),
            _ => 1e-12,
        };

        double actual = Evaluate(row);

        Assert.True(Math.Abs(actual - row.Expected) <= allowed + 1e-9, $"{id} {row["model"]} {row["output"]}: {actual}, published {row.Expected} ({row["source"]})");
    }

    [Fact]
    public void NotBuilt_Rows_AreNineOfTheTable() => Assert.Equal(9, Table.Rows.Count(row => NotBuilt.Contains(row["model"])));

    private static double Evaluate(PublishedRow row) => row["model"] switch
    {
        "haurwitz" => ClearSky.Haurwitz(new(row.Number("apparent_elev_deg"))).Value,
        "ineichen" => Part(row, Ineichen(row)),
        "ineichen_chain" => IneichenChain(row),
        "bird" => Part(row, Bird(row)),
        "isotropic" => PlaneOfArray.Isotropic(row.Number("dhi"), new(row.Number("tilt_deg"))),
        "ground_diffuse" => PlaneOfArray.Ground(row.Number("ghi"), new(row.Number("tilt_deg")), row.Number("albedo")),
        "transposition:isotropic" => PlaneOfArray.Isotropic(row.Number("dhi"), new(row.Number("tilt_deg"))),
        "transposition:haydavies" => PlaneOfArray.HayDavies(Sky(row), Elevation(row), new(row.Number("tilt_deg")), Projection(row), row.Number("dni_extra")),
        "transposition:perez_1990" => Perez(row),
        "dni_extra:spencer" => Extraterrestrial.Spencer(row.Number("doy")).Value,
        "dni_extra:asce" => Extraterrestrial.Asce(row.Number("doy")).Value,
        "dni_extra:nrel" => Nrel(row),
        "airmass:kastenyoung1989" => Airmass.KastenYoung(new(90 - row.Number("zenith_deg"))),
        "alt2pres" => StandardAtmosphere.PressureAt(new(row.Number("alt_m"))).Value * 100,
        "albedo_table" => Albedo.Of(row["surface"]),
        _ => IrradianceTableRest.Evaluate(row),
    };

    private static double Part(PublishedRow row, Irradiance sky) => row["output"] switch
    {
        "ghi" => sky.Global.Value,
        "dni" => sky.Direct.Value,
        "dhi" => sky.Diffuse.Value,
        "direct_horizontal" => sky.Global.Value - sky.Diffuse.Value,
        _ => throw new InvalidOperationException($"No output {row["output"]} in {row}"),
    };

    private static Irradiance Ineichen(PublishedRow row) => ClearSky.Ineichen(
        new(90 - row.Number("zenith_deg")),
        row.Number("am_abs"),
        row.Number("TL"),
        new(row.Number("alt_m")),
        new(row.Number("dni_extra")),
        row.Number("perez_enhancement") > 0);

    private static double IneichenChain(PublishedRow row)
    {
        var elevation = new Degrees(90 - row.Number("zenith_deg"));
        double relative = Airmass.KastenYoung(elevation);
        double absolute = Airmass.Absolute(relative, new(row.Number("pressure_Pa") / 100));
        WattsPerSquareMetre extra = Extraterrestrial.Spencer(row.Number("doy"));
        return row["output"] switch
        {
            "am_rel" => relative,
            "am_abs" => absolute,
            "dni_extra" => extra.Value,
            _ => Part(row, ClearSky.Ineichen(elevation, absolute, row.Number("TL"), new(row.Number("alt_m")), extra)),
        };
    }

    private static Irradiance Bird(PublishedRow row)
    {
        var elevation = new Degrees(90 - row.Number("zenith_deg"));
        bool spreadsheet = row.Has("am_kasten1966");
        double relative = spreadsheet ? row.Number("am_kasten1966") : Airmass.KastenYoung(elevation);
        double pressure = spreadsheet ? row.Number("pressure_mbar") : row.Number("pressure_Pa") / 100;
        double extra = spreadsheet ? row.Number("dni_extra") : Extraterrestrial.Spencer(row.Number("doy")).Value;
        return ClearSky.Bird(
            elevation,
            relative,
            new(pressure),
            new(extra),
            new BirdAir(row.Number("aod380"), row.Number("aod500"), row.Number("pw_cm"), row.Number("ozone_cm"), row.Number("asym"), row.Number("albedo")));
    }

    private static Irradiance Sky(PublishedRow row) => new(new(row.Number("ghi", 0)), new(row.Number("dni")), new(row.Number("dhi")));

    private static Degrees Elevation(PublishedRow row) => new(90 - row.Number("sun_zenith_deg"));

    private static double Projection(PublishedRow row) =>
        PlaneOfArray.Projection(Elevation(row), new(row.Number("sun_az_deg")), new(row.Number("tilt_deg")), new(row.Number("surf_az_deg")));

    private static double Perez(PublishedRow row)
    {
        (double isotropic, double circumsolar, double horizon, double sum) = PlaneOfArray.PerezParts(
            Sky(row), Elevation(row), new(row.Number("tilt_deg")), Projection(row), row.Number("dni_extra"), row.Number("am_rel"));
        return row["output"] switch
        {
            "poa_isotropic" => isotropic,
            "poa_circumsolar" => circumsolar,
            "poa_horizon" => horizon,
            _ => sum,
        };
    }

    private static double Nrel(PublishedRow row)
    {
        Instant day = new LocalDate((int)row.Number("epoch_year"), 1, 1).PlusDays((int)row.Number("doy") - 1).AtMidnight().InUtc().ToInstant();
        KitMesh.Models.Sun.SunSite site = KitMesh.Models.Sun.SunSite.Standard(new(0), new(0), new(0));
        return Extraterrestrial.AtDistance(KitMesh.Models.Sun.SolarPosition.At(day, site).DistanceAu).Value;
    }
}
