using KitMesh.Domain.Quantities;
using KitMesh.Models.Sky;
using KitMesh.Models.Sun;

namespace KitMesh.Cli.Commands.Calc;

/// <summary><c>kitmesh calc sky</c>: what a cloudless sky gives.</summary>
internal sealed class CalcSkyCommand : CalcVerb
{
    public override string Name => "sky";

    public override string Meaning => "Irradiance under a cloudless sky, never more than physics allows (Bird, Ineichen with a cap above 4,000 m, Haurwitz).";

    public override CalcColumn[] Inputs =>
    [
        .. SunColumns.All,
        new("model", "bird, ineichen or haurwitz.", "bird"),
        new("linke_turbidity", "Linke turbidity for ineichen, 1 to 10.", "3"),
        new("aod380", "Aerosol depth at 380 nm for bird, from 0.", "0.05"),
        new("aod500", "Aerosol depth at 500 nm for bird, from 0.", "0.03"),
        new("water_cm", "Water vapour for bird in cm, from 0.", "0.2"),
        new("ozone_cm", "Ozone for bird in atm-cm, from 0.", "0.3"),
        new("albedo", "Ground albedo for bird, 0 to 1.", "0.8"),
    ];

    public override string[] Outputs => ["ghi_Wm2", "dni_Wm2", "dhi_Wm2", "extraterrestrial_horizontal_Wm2"];

    public override CalcAnswer Compute(CalcRow row)
    {
        (SunPosition sun, SunSite site) = SunColumns.Read(row);
        ClearSkyModel model = row.Choice("model", ("bird", ClearSkyModel.Bird), ("ineichen", ClearSkyModel.Ineichen), ("haurwitz", ClearSkyModel.Haurwitz));
        var air = new BirdAir(
            row.Number("aod380", 0, 5), row.Number("aod500", 0, 5), row.Number("water_cm", 0, 10), row.Number("ozone_cm", 0, 1), 0.85, row.Number("albedo", 0, 1));
        WattsPerSquareMetre outside = Extraterrestrial.AtDistance(sun.DistanceAu);
        Irradiance sky = ClearSky.Capped(model, sun.Apparent, site.Elevation, site.Pressure, outside, row.Number("linke_turbidity", 1, 10), air);
        return new CalcAnswer([sky.Global.Value, sky.Direct.Value, sky.Diffuse.Value, outside.Value * Math.Max(0, Math.Sin(sun.Apparent.Radians))]);
    }
}
