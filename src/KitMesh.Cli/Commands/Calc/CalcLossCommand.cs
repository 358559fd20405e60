using System.CommandLine;
using System.Globalization;
using KitMesh.Cli.Frame;
using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Results;
using KitMesh.Footage.Risk;
using Spectre.Console;

namespace KitMesh.Cli.Commands.Calc;

/// <summary><c>kitmesh calc loss</c>: the chance that a clip with copies in cases is lost.</summary>
internal sealed class CalcLossCommand : CalcVerb
{
    private const int MostCopies = 64;

    private readonly Option<FileInfo?> _tree = new("--tree")
    {
        Description = "A YAML file with drives, nested containers, shocks that cut across and clips (docs/footage.md). Default: none.",
        HelpName = "file",
    };

    public override string Name => "loss";

    public override string Meaning => "The chance that footage is lost, exactly, under shocks that take several drives at once.";

    public override CalcColumn[] Inputs =>
    [
        new("AFR", "Chance that a drive fails within a year, from 0 to below 1."),
        new("days", "Days at risk, from 0."),
        new("shock_p_per_container", "Chance that one case is lost with all in it, from 0 to 1."),
        new("groups", "Copies per case, such as 2+1: two in one case and one in another; at most 64."),
        new("beta", "Share of drive failures that takes all drives at once (one batch), from 0 to 1.", "0"),
    ];

    public override string[] Outputs => ["q_copy", "P_loss"];

    public override Command Build(Surroundings surroundings)
    {
        Command command = base.Build(surroundings);
        command.Options.Add(_tree);
        return command.Runs(surroundings, run => run.Get(_tree) is { } file ? RunTree(run, LossTreeFile.Read(file)) : Run(run));
    }

    public override CalcAnswer Compute(CalcRow row)
    {
        double chance = FailureChance.OfDrive(row.Number("AFR", 0, 0.999999), row.Number("days", 0, 36_525));
        double shock = row.Number("shock_p_per_container", 0, 1);
        double beta = row.Number("beta", 0, 1);
        List<Shock> shocks = [];
        int next = 0;
        foreach (int count in Groups(row.Text("groups")))
        {
            shocks.Add(new Shock($"case {shocks.Count + 1}", shock, Enumerable.Range(next, count).ToValueList()));
            next += count;
        }

        ValueList<int> drives = Enumerable.Range(0, next).ToValueList();
        if (beta > 0)
        {
            shocks.Add(new Shock("batch", beta * chance, drives));
        }

        var model = new LossModel(drives.Select(_ => (1 - beta) * chance), shocks);
        double loss = model.ClipLost(new HeldSet(drives, drives.Select(_ => 0.0).ToValueList(), 1));
        return new CalcAnswer(
            [chance, loss],
            $"A drive fails: {Odds.InWords(new Probability(chance))}. A clip with copies {row.Text("groups")} is lost: {Odds.InWords(new Probability(loss))}. {AsGiven}");
    }

    /// <summary>One number from one set of figures looks surer than it is; the outlook of a trip gives ranges.</summary>
    private const string AsGiven = "This takes the figures as exact and drives as failing on their own but for the shocks named; try the kind and the harsh end of each.";

    private static int[] Groups(string text)
    {
        string[] parts = text.Split('+', StringSplitOptions.TrimEntries);
        var copies = new int[parts.Length];
        for (int i = 0; i < parts.Length; i++)
        {
            if (!int.TryParse(parts[i], NumberStyles.None, CultureInfo.InvariantCulture, out copies[i]) || copies[i] < 1)
            {
                throw new CalcException($"groups must list copies per case such as 2+1, not \"{text}\"");
            }
        }

        return copies.Sum(count => (long)count) <= MostCopies ? copies : throw new CalcException($"groups holds more than {MostCopies} copies");
    }

    private static ExitCode RunTree(CommandRun run, LossTreeFile tree)
    {
        LossBounds any = tree.Model.AnyLost([.. tree.Clips.Select(clip => clip.Set)]);
        string odds = Odds.InWords(new Probability(any.Upper));
        (string Name, double Loss)[] clips = [.. tree.Clips.Select(clip => (clip.Name, tree.Model.ClipLost(clip.Set)))];
        if (run.Json)
        {
            // Dictionaries, since these names are columns of the interface and must not be turned into camelCase.
            run.Out.Json(new Dictionary<string, object>
            {
                ["days"] = tree.Days,
                ["drives"] = tree.Drives.Select((name, i) => new Dictionary<string, object> { ["drive"] = name, ["q_copy"] = tree.OwnChance[i] }),
                ["clips"] = clips.Select(clip => new Dictionary<string, object>
                {
                    ["clips"] = clip.Name,
                    ["P_loss"] = clip.Loss,
                    ["odds"] = Odds.InWords(new Probability(clip.Loss)),
                }),
                ["P_any_loss"] = any.Upper,
                ["P_any_loss_at_least"] = any.Lower,
                ["exact"] = any.IsExact,
                ["odds"] = odds,
            });
            return ExitCode.Good;
        }

        Table table = DataOut.Table("clips", ">a given one is lost");
        foreach ((string name, double loss) in clips)
        {
            table.AddRow(Markup.Escape(name), Odds.InWords(new Probability(loss)));
        }

        run.Out.Draw(table);
        run.Out.Line(any.IsExact
            ? $"Anything at all is lost within {tree.Days} days: {odds}. {AsGiven}"
            : $"Anything at all is lost within {tree.Days} days: between {Odds.InWords(new Probability(any.Lower))} and {odds} (proven bounds: more than 20 drives hang together). {AsGiven}");
        return ExitCode.Good;
    }
}
