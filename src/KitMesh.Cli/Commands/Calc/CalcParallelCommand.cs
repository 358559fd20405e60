using KitMesh.Models.Battery;

namespace KitMesh.Cli.Commands.Calc;

/// <summary><c>kitmesh calc parallel</c>: what flows when two packs are joined.</summary>
internal sealed class CalcParallelCommand : CalcVerb
{
    public override string Name => "parallel";

    public override string Meaning => "Current, heat and verdict of joining two packs in parallel, at the moment of joining.";

    public override CalcColumn[] Inputs =>
    [
        new("V1", "Rested voltage of the first pack."),
        new("R1_ohm", "Its internal resistance in ohm at its present temperature, above 0."),
        new("V2", "Rested voltage of the second pack."),
        new("R2_ohm", "Its internal resistance in ohm, above 0."),
        new("Rlead_ohm", "Resistance of the leads in ohm, from 0."),
    ];

    public override string[] Outputs => ["current_A", "bus_V", "heat_W", "verdict"];

    public override CalcAnswer Compute(CalcRow row)
    {
        double half = row.Number("Rlead_ohm", 0) / 2;
        ParallelAnswer answer = ParallelNetwork.Solve(
        [
            new ParallelPack(new(row.Number("V1", 0, 1_000)), new(row.Positive("R1_ohm") + half), null),
            new ParallelPack(new(row.Number("V2", 0, 1_000)), new(row.Positive("R2_ohm") + half), null),
        ]);
        bool refused = answer.Verdict == ParallelVerdict.DoNotJoin;
        return new CalcAnswer(
            [answer.Currents[0].Value, answer.Bus.Value, answer.Heat.Value, refused ? "do_not_join" : "within_limits"], answer.Words, refused);
    }
}
