using KitMesh.Models.Panel;
using KitMesh.Models.Sky;
using KitMesh.Models.Sun;

namespace KitMesh.Cli.Commands.Calc;

/// <summary><c>kitmesh calc panel</c>: what a tilted panel sees.</summary>
internal sealed class CalcPanelCommand : CalcVerb
{
    public override string Name => "panel";

    public override string Meaning => "Irradiance on a tilted panel from level irradiance (isotropic, Hay and Davies, Perez 1990).";

    public override CalcColumn[] Inputs =>
    [
        .. SunColumns.All,
        new("ghi_Wm2", "Global irradiance on a level plane, from 0."),
        new("dni_Wm2", "Direct irradiance facing the sun, from 0."),
        new("dhi_Wm2", "Diffuse irradiance on a level plane, from 0."),
        new("tilt_deg", "Tilt of the panel, 0 to 180."),
        new("azimuth_deg_panel", "Heading of the panel, clockwise from north, -360 to 360."),
        new("albedo", "Ground albedo, 0 to 1; fresh snow 0.75.", "0.2"),
        new("transposition", "isotropic, haydavies or perez.", "haydavies"),
    ];

    public override string[] Outputs => ["poa_Wm2", "beam_Wm2", "sky_Wm2", "ground_Wm2"];

    public override CalcAnswer Compute(CalcRow row)
    {
        SunPosition sun = SunColumns.Read(row).Sun;
        Transposition model = row.Choice(
            "transposition", ("isotropic", Transposition.Isotropic), ("haydavies", Transposition.HayDavies), ("perez", Transposition.Perez));
        var sky = new Irradiance(new(row.Number("ghi_Wm2", 0, 2_000)), new(row.Number("dni_Wm2", 0, 2_000)), new(row.Number("dhi_Wm2", 0, 2_000)));
        PlaneIrradiance plane = PlaneOfArray.On(
            model,
            sky,
            sun.Apparent,
            sun.Azimuth,
            new(row.Number("tilt_deg", 0, 180)),
            new(row.Number("azimuth_deg_panel", -360, 360)),
            row.Number("albedo", 0, 1),
            Extraterrestrial.AtDistance(sun.DistanceAu),
            Airmass.KastenYoung(sun.Apparent));
        return new CalcAnswer([plane.Total.Value, plane.Beam.Value, plane.Sky.Value, plane.Ground.Value]);
    }
}
