using System.CommandLine;
using System.Globalization;
using System.Text;
using KitMesh.Cli.Frame;
using KitMesh.Cli.Running;
using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Planning;
using KitMesh.Domain.Reports;
using KitMesh.Domain.State;
using KitMesh.Export.Account;
using KitMesh.Outlook.Learning;
using KitMesh.TripFile.Learnt;
using Spectre.Console;

namespace KitMesh.Cli.Commands;

/// <summary><c>kitmesh learn</c>: what trips teach of the kit, for the next plan.</summary>
internal sealed class LearnCommand : ICommandFile
{
    private readonly Option<DirectoryInfo[]> _from = new("--from")
    {
        Description = "The data folder of a hub that is stopped; may be given several times, one trip each, oldest first. Required.",
        Required = true,
        HelpName = "folder",
        AllowMultipleArgumentsPerToken = true,
    };

    private readonly Option<string> _into = OptionKit.TextRequired("--into", "The file to write; what it already knows of other trips stays.");

    public Command Build(Surroundings surroundings) =>
        new Command("learn", "Learn from trips what loads, panels, boxes and cameras really do, and write it where the next plan starts from.") { _from, _into }
            .Runs(surroundings, RunAsync);

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        string into = run.Get(_into);
        if (Directory.Exists(into))
        {
            throw CommandFault.BadInput($"{into} is a folder.", "Name a file, such as kit.yaml.");
        }

        LearntKit before = File.Exists(into) ? LearntText.Read(run, into) : LearntKit.Nothing;
        var evidence = new List<TripEvidence>(before.Evidence);
        var trips = new List<string>();
        foreach (DirectoryInfo folder in run.Get(_from))
        {
            (string trip, ValueList<TripEvidence> told) = await TripAsync(run, folder);
            if (trips.Contains(trip))
            {
                throw CommandFault.BadInput($"{folder.FullName} holds the trip \"{trip}\" once more.", "One folder a trip: two hubs of one trip tell the same.");
            }

            trips.Add(trip);
            int known = evidence.RemoveAll(one => one.Trip == trip);
            if (known > 0)
            {
                run.Talk.Say($"\"{trip}\" was known already: what it told before is replaced.");
            }

            if (told.Count == 0)
            {
                run.Talk.Say($"\"{trip}\" teaches nothing: too few readings.");
            }

            evidence.AddRange(told);
        }

        LearntKit learnt = TripLearning.Pool(evidence);
        await WriteAsync(into, LearntFileWriter.Write(learnt), run.Stop);
        if (run.Json)
        {
            run.Out.Json(new { file = into, trips, learnt.Posteriors, learnt.Kinds, learnt.Evidence });
        }
        else
        {
            Draw(run.Out, learnt);
        }

        return ExitCode.Good;
    }

    private static async Task<(string Trip, ValueList<TripEvidence> Told)> TripAsync(CommandRun run, DirectoryInfo folder)
    {
        using HeldReports held = await HeldReports.OpenAsync(run, folder, new Uri("http://127.0.0.1"));
        Trip trip = held.OneTrip();
        var feed = new AccountFeed();
        foreach (ContentReport entry in held.All)
        {
            run.Stop.ThrowIfCancellationRequested();
            feed.Add(held.Engine.Retiming.Time(entry.Report));
        }

        return (TripLearning.NameOf(trip), AccountEvidence.Of(feed, held.Engine.State));
    }

    // Beside it first: a power cut must not cost what earlier trips taught.
    private static async Task WriteAsync(string file, string text, CancellationToken stop)
    {
        string beside = file + ".new";
        await File.WriteAllTextAsync(beside, text, new UTF8Encoding(false), stop);
        File.Move(beside, file, overwrite: true);
    }

    private static void Draw(DataOut output, LearntKit learnt)
    {
        Table table = DataOut.Table("Thing", "Figure", ">Learnt", "Unit", ">8 in 10 within", ">From", ">Of its kind");
        foreach (KitPosterior one in learnt.Posteriors)
        {
            (double low, double high) = one.Figure == LearntFigure.Failures
                ? (Math.Max(0, one.Value - (1.28 * one.Doubt)), one.Value + (1.28 * one.Doubt))
                : (one.Value * Math.Exp(-1.28 * one.Doubt), one.Value * Math.Exp(1.28 * one.Doubt));
            table.AddRow(
                new Text(one.Item.Value), new Text(one.Figure.ToString()), new Text(Short(one.Value)), new Text(one.Unit), new Text($"{Short(low)} to {Short(high)}"),
                new Text(string.Create(CultureInfo.InvariantCulture, $"{one.Evidence} on {one.Trips.Count} {(one.Trips.Count == 1 ? "trip" : "trips")}")), new Text((one.FromItsKind * 100).ToString("0", CultureInfo.InvariantCulture) + " %"));
        }

        output.Draw(table);
        foreach (KindPosterior kind in learnt.Kinds)
        {
            output.Line(string.Create(
                CultureInfo.InvariantCulture,
                $"A new one of kind {kind.Kind} ({kind.Figure}): {kind.Factor:0.00} times what is declared, 8 in 10 within {kind.Factor * Math.Exp(-1.28 * kind.Doubt):0.00} to {kind.Factor * Math.Exp(1.28 * kind.Doubt):0.00}, from {kind.Items}."));
        }
    }

    private static string Short(double value) => value.ToString(Math.Abs(value) >= 100 ? "0" : Math.Abs(value) >= 10 ? "0.0" : "0.###", CultureInfo.InvariantCulture);
}
