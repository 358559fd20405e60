using System.CommandLine;
using KitMesh.Cli.Frame;
using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Results;
using KitMesh.Footage.Risk;
using Spectre.Console;

namespace KitMesh.Cli.Commands.Calc;

/// <summary><c>kitmesh calc loss</c>: the chance that a clip with copies in cases is lost.</summary>
internal sealed class CalcLossCommand : ICommandFile
{
    private const double MostRate = 0.999999;
    private const double MostDays = 36525;

    private static readonly string[] Needed = ["AFR", "days", "shock_p_per_container", "groups"];
    private static readonly string[] Added = ["q_copy", "P_loss"];

    private readonly Option<double> _rate = OptionKit.Number("--afr", "Chance that a drive fails within a year.", 0, MostRate, 0.0157);
    private readonly Option<double> _days = OptionKit.Number("--days", "Days at risk.", 0, MostDays, 28.0);
    private readonly Option<double> _shock = OptionKit.Number("--shock", "Chance that one case is lost with all in it.", 0, 1.0, 0.01);
    private readonly Option<string?> _groups = OptionKit.Text("--groups", "Copies per case, such as 2+1: two in one case and one in another.", "1+1+1");
    private readonly Option<double> _beta = OptionKit.Number("--beta", "Share of drive failures that takes all drives at once (one batch).", 0, 1.0, 0.0);
    private readonly Option<FileInfo> _csv = new("--csv") { Description = "Read rows with the columns AFR,days,shock_p_per_container,groups (and beta, if wanted) and add q_copy,P_loss.", HelpName = "file" };
    private readonly Option<FileInfo> _tree = new("--tree") { Description = "Read drives, nested containers, shocks that cut across and clips from a YAML file.", HelpName = "file" };

    public Command Build(Surroundings surroundings) =>
        new Command("loss", "The chance that footage is lost, exactly, under shocks that take several drives at once.")
        {
            _rate, _days, _shock, _groups, _beta, _csv.AcceptExistingOnly(), _tree.AcceptExistingOnly(),
        }.Runs(surroundings, Run);

    private ExitCode Run(CommandRun run)
    {
        if (run.Get(_csv) is { } csv)
        {
            CsvSheet.Run(run, csv, Needed, Added, Row);
            return ExitCode.Good;
        }

        if (run.Get(_tree) is { } tree)
        {
            return RunTree(run, LossTreeFile.Read(tree));
        }

        string groups = run.Get(_groups) ?? "1";
        if (!TryParseGroups(groups, out int[] copies))
        {
            throw CommandFault.BadInput($"--groups takes copies per case such as 2+1, not \"{groups}\".");
        }

        (double chance, double loss) = Compute(run.Get(_rate), run.Get(_days), run.Get(_shock), run.Get(_beta), copies);
        string odds = Odds.InWords(new Probability(loss));
        if (run.Json)
        {
            // A dictionary, since the column names are part of the interface and must not be turned into camelCase.
            run.Out.Json(new Dictionary<string, object> { ["groups"] = groups, ["q_copy"] = chance, ["P_loss"] = loss, ["odds"] = odds });
        }
        else
        {
            run.Out.Line($"one drive fails: {Odds.InWords(new Probability(chance))}; a clip with copies {groups} is lost: {odds}");
        }

        return ExitCode.Good;
    }

    private static double?[] Row(CsvRow row)
    {
        if (!row.Has("groups"))
        {
            // A row of another kind of case: repeated, nothing added.
            return [null, null];
        }

        if (!TryParseGroups(row["groups"], out int[] copies))
        {
            throw row.Fault("groups", $"\"{row["groups"]}\" is no list of copies per case such as 2+1 (at most 64 copies).");
        }

        (double chance, double loss) = Compute(
            row.Number("AFR", 0, MostRate),
            row.Number("days", 0, MostDays),
            row.Number("shock_p_per_container", 0, 1),
            row.Number("beta", 0, 1, 0),
            copies);
        return [chance, loss];
    }

    private static (double Chance, double Loss) Compute(double annualRate, double days, double shock, double beta, int[] copies)
    {
        double chance = FailureChance.OfDrive(annualRate, days);
        List<Shock> shocks = [];
        int next = 0;
        foreach (int count in copies)
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
        return (chance, model.ClipLost(new HeldSet(drives, drives.Select(_ => 0.0).ToValueList(), 1)));
    }

    private static bool TryParseGroups(string text, out int[] copies)
    {
        string[] parts = text.Split('+', StringSplitOptions.TrimEntries);
        copies = new int[parts.Length];
        for (int i = 0; i < parts.Length; i++)
        {
            if (!int.TryParse(parts[i], System.Globalization.NumberStyles.None, System.Globalization.CultureInfo.InvariantCulture, out copies[i]) || copies[i] < 1)
            {
                return false;
            }
        }

        return copies.Sum(count => (long)count) <= 64;
    }

    private static ExitCode RunTree(CommandRun run, LossTreeFile tree)
    {
        LossBounds any = tree.Model.AnyLost([.. tree.Clips.Select(clip => clip.Set)]);
        string odds = Odds.InWords(new Probability(any.Upper));
        (string Name, double Loss)[] clips = [.. tree.Clips.Select(clip => (clip.Name, tree.Model.ClipLost(clip.Set)))];
        if (run.Json)
        {
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
            ? $"anything at all is lost within {tree.Days} days: {odds}"
            : $"anything at all is lost within {tree.Days} days: between {Odds.InWords(new Probability(any.Lower))} and {odds} (proven bounds: more than 20 drives hang together)");
        return ExitCode.Good;
    }
}
