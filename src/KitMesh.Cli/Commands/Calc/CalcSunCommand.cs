using KitMesh.Models.Sun;

namespace KitMesh.Cli.Commands.Calc;

/// <summary><c>kitmesh calc sun</c>: where the sun stands.</summary>
internal sealed class CalcSunCommand : CalcVerb
{
    public override string Name => "sun";

    public override string Meaning => "Where the sun stands (NREL algorithm, TP-560-34302).";

    public override CalcColumn[] Inputs => SunColumns.All;

    public override string[] Outputs => ["geometric_elev_deg", "apparent_elev_deg", "azimuth_deg"];

    public override CalcAnswer Compute(CalcRow row)
    {
        SunPosition sun = SunColumns.Read(row).Sun;
        return new CalcAnswer([sun.Geometric.Value, sun.Apparent.Value, sun.Azimuth.Value]);
    }
}
