using System.Globalization;
using KitMesh.Domain.Quantities;
using KitMesh.Models.Battery;

namespace KitMesh.Cli.Commands.Calc;

/// <summary><c>kitmesh calc parallel</c>: what flows when packs are joined.</summary>
internal sealed class CalcParallelCommand : CalcVerb
{
    /// <summary>The most packs of one network.</summary>
    private const int MaxPacks = 12;

    private static readonly string[] OfTwo = ["current_A", "bus_V", "heat_W", "verdict"];
    private bool _isMany;

    public override string Name => "parallel";

    public override string Meaning => "Current, heat and verdict of joining packs in parallel, at the moment of joining: one network of up to 12, not pairs.";

    public override CalcColumn[] Inputs =>
    [
        new("V1", "Rested voltage of the first pack."),
        new("R1_ohm", "Its internal resistance in ohm at its present temperature, above 0."),
        new("V2", "Rested voltage of the second pack."),
        new("R2_ohm", "Its internal resistance in ohm, above 0."),
        new("Rlead_ohm", "Resistance of the leads between two packs in ohm, from 0; each pack has half of it."),
        new("maxcharge_A", "Highest charge current that each pack may take. Empty: nothing is known, and 1 A counts.", ""),
        .. Enumerable.Range(3, MaxPacks - 2).SelectMany(i => new CalcColumn[]
        {
            new(Volts(i), $"Rested voltage of pack {i}, if there is one.", ""),
            new(Ohms(i), $"Internal resistance of pack {i} in ohm, above 0.", ""),
        }),
    ];

    public override string[] Outputs => _isMany ? [.. OfTwo, "odd_one_out", "currents_A"] : OfTwo;

    // With more than two packs one current does not tell it all.
    public override void Expect(IReadOnlyCollection<string> given) => _isMany = given.Contains(Volts(3));

    protected override bool IsSilent(CalcColumn column) => column.Standard?.Length == 0;

    public override CalcAnswer Compute(CalcRow row)
    {
        double half = row.Number("Rlead_ohm", 0) / 2;
        Amperes? most = row.Has("maxcharge_A") ? new Amperes(row.Number("maxcharge_A", 0, 10_000)) : null;
        var packs = new List<ParallelPack>();
        for (int i = 1; i <= MaxPacks; i++)
        {
            if (row.Has(Volts(i)) || row.Has(Ohms(i)) || i <= 2)
            {
                packs.Add(packs.Count == i - 1
                    ? new ParallelPack(new(row.Number(Volts(i), 0, 1_000)), new(row.Positive(Ohms(i)) + half), most)
                    : throw new CalcException($"{Volts(i)} is given, but pack {packs.Count + 1} is not: number the packs without gaps"));
            }
        }

        ParallelAnswer answer = ParallelNetwork.Solve([.. packs]);
        bool refused = answer.Verdict == ParallelVerdict.DoNotJoin;
        object?[] cells =
        [
            answer.Currents[0].Value, answer.Bus.Value, answer.Heat.Value, refused ? "do_not_join" : "within_limits", answer.OddOneOut + 1,
            string.Join(' ', answer.Currents.Select(current => current.Value.ToString("0.####", CultureInfo.InvariantCulture))),
        ];
        return new CalcAnswer(cells[..Outputs.Length], answer.Words, refused);
    }

    private static string Volts(int pack) => string.Create(CultureInfo.InvariantCulture, $"V{pack}");

    private static string Ohms(int pack) => string.Create(CultureInfo.InvariantCulture, $"R{pack}_ohm");
}
