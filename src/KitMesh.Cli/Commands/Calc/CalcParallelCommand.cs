using System.CommandLine;
using System.Globalization;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Quantities;
using KitMesh.Models.Battery;

namespace KitMesh.Cli.Commands.Calc;

/// <summary><c>kitmesh calc parallel</c>: what flows when packs are joined.</summary>
internal sealed class CalcParallelCommand : CalcVerb
{
    /// <summary>The most packs of one network.</summary>
    private const int MaxPacks = 12;

    private static readonly string[] OfTwo = ["current_A", "bus_V", "heat_W", "verdict"];
    private readonly Option<FileInfo?> _packs = new("--packs")
    {
        Description = "A YAML file with up to 64 packs (docs/cli.md). Default: none.",
        HelpName = "file",
    };

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

    public override Command Build(Surroundings surroundings)
    {
        Command command = base.Build(surroundings);
        command.Options.Add(_packs);
        return command.Runs(surroundings, run => run.Get(_packs) is { } file ? RunFile(run, PackListFile.Read(file)) : Run(run));
    }

    private static ExitCode RunFile(CommandRun run, PackListFile list)
    {
        ParallelAnswer answer = ParallelNetwork.Solve([.. list.Packs]);
        bool refused = answer.Verdict == ParallelVerdict.DoNotJoin;
        string verdict = refused ? "do_not_join" : "within_limits";
        if (run.Json)
        {
            // A dictionary, since these names are columns of the interface and must not be turned into camelCase.
            run.Out.Json(new Dictionary<string, object>
            {
                ["bus_V"] = answer.Bus.Value,
                ["heat_W"] = answer.Heat.Value,
                ["verdict"] = verdict,
                ["odd_one_out"] = list.Names[answer.OddOneOut],
                ["currents_A"] = list.Names.Select((name, i) => new Dictionary<string, object> { ["pack"] = name, ["current_A"] = answer.Currents[i].Value }),
                ["words"] = answer.Words,
            });
        }
        else
        {
            run.Out.Line(string.Create(CultureInfo.InvariantCulture, $"{"bus_V",-34} {answer.Bus.Value:0.####}"));
            run.Out.Line(string.Create(CultureInfo.InvariantCulture, $"{"heat_W",-34} {answer.Heat.Value:0.####}"));
            run.Out.Line($"{"verdict",-34} {verdict}");
            run.Out.Line($"{"odd_one_out",-34} {list.Names[answer.OddOneOut]}");
            for (int i = 0; i < list.Names.Count; i++)
            {
                run.Out.Line(string.Create(CultureInfo.InvariantCulture, $"{list.Names[i],-34} {answer.Currents[i].Value:0.####} A"));
            }

            run.Out.Line();
            run.Out.Line(answer.Words);
        }

        return refused ? ExitCode.BadNews : ExitCode.Good;
    }

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
