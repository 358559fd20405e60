using System.CommandLine;
using KitMesh.Cli.Frame;
using KitMesh.Cli.Running;
using KitMesh.Disk;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Domain.Time;
using KitMesh.Protocol.Reports;
using KitMesh.Sync.Journal;
using KitMesh.TripFile;
using KitMesh.TripFile.Import;
using NodaTime;

namespace KitMesh.Cli.Commands;

/// <summary><c>kitmesh import</c>: a trip without KitMesh, from the tables of its loggers.</summary>
internal sealed class ImportCommand : ICommandFile
{
    private const int Batch = 500;

    private readonly Argument<FileInfo[]> _files = new("csv") { Description = "Tables of loggers with named columns.", HelpName = "file", Arity = ArgumentArity.OneOrMore };
    private readonly Option<string> _trip = OptionKit.TextRequired("--trip", "The trip file: what there was.");
    private readonly Option<FileInfo> _map = OptionKit.ExistingFile("--map", "Which column is what (docs/import.md).");
    private readonly Option<DirectoryInfo?> _into = OptionKit.Folder("--into", "The data folder to write, for kitmesh report, learn and export; must be empty.", required: true);

    public Command Build(Surroundings surroundings) =>
        new Command("import", "Make a data folder from the CSV tables of loggers and a trip file, so that a trip without KitMesh can be analysed.") { _files, _trip, _map, _into }
            .Runs(surroundings, Run);

    private ExitCode Run(CommandRun run)
    {
        DirectoryInfo into = run.Get(_into)!;
        if (into.Exists && into.EnumerateFileSystemInfos().Any())
        {
            throw CommandFault.BadInput($"{into.FullName} is not empty.", "Name an empty or a new folder: an import adds to nothing.");
        }

        TripRead trip = TripText.Check(run, run.Get(_trip))!;
        FileInfo mapFile = run.Get(_map);
        ImportMapResult read = ImportMapReader.Read(mapFile.ToString(), File.ReadAllText(mapFile.FullName), trip.Items);
        foreach (TripProblem problem in read.Problems)
        {
            run.Talk.Say(problem.ToString());
        }

        ImportMap map = read.Map ?? throw CommandFault.BadInput($"{mapFile} cannot be used; nothing was written.", "Mend the lines above (docs/import.md).");
        var log = new CsvLog(map);
        TimedReading[] readings = [.. run.Get(_files).SelectMany(file => file.Exists ? log.Read(file.FullName) : throw CommandFault.BadInput($"There is no file {file}."))];
        if (readings.Length == 0)
        {
            throw CommandFault.BadInput($"No reading was found. {log.FirstOdd}", "Look at time.format, the separator and the decimal comma of the map. Nothing was written.");
        }

        Write(run, into, map, trip, readings);
        Tell(run, into, log, readings);
        return log.RowsWithoutTime > 0 || log.OddCells > 0 ? ExitCode.BadNews : ExitCode.Good;
    }

    private static void Write(CommandRun run, DirectoryInfo into, ImportMap map, TripRead trip, TimedReading[] readings)
    {
        string folder = Path.Combine(into.FullName, "journal");
        Directory.CreateDirectory(folder);
        var options = new JournalOptions { Folder = folder, Node = NodeId.Parse("import"), DropAcknowledged = false };
        if (Journal.Open(new PhysicalDisk(), options, run.Surroundings.Ids(), run.Surroundings.Ids()) is not JournalOpening.Opened { Journal: { } journal })
        {
            throw CommandFault.BadInput($"No journal can be made in {folder}.");
        }

        using (journal)
        {
            var origin = new OriginId(NodeId.Parse(map.Node), run.Surroundings.Ids());
            Instant first = readings.Min(reading => reading.Time);
            Instant arrival = readings.Max(reading => reading.Time);
            IEnumerable<(Instant Time, ReportBody Body)> all = trip.Items.Select(item => (first, (ReportBody)new KitDeclared(item))).Concat(readings.OrderBy(reading => reading.Time).Select(reading => (reading.Time, reading.Body)));
            ulong sequence = 0;
            foreach ((Instant Time, ReportBody Body)[] batch in all.Chunk(Batch))
            {
                run.Stop.ThrowIfCancellationRequested();
                RawReport[] raw = [.. batch.Select(one => Raw(origin, ++sequence, first, one.Time, one.Body))];
                if (journal.Append(raw, arrival) is not AppendResult.Durable)
                {
                    throw CommandFault.BadInput($"The journal in {folder} cannot be written.", "Check the free space. Delete the folder before the next try.");
                }
            }
        }
    }

    private static RawReport Raw(OriginId origin, ulong sequence, Instant first, Instant time, ReportBody body)
    {
        var written = new DeviceTime(time, new BootId(1), (time - first).ToInt64Nanoseconds());
        return new RawReport(new ReportKey(origin, sequence), ReportCodec.Encode(HybridTime.From(Math.Max(0, time.ToUnixTimeMilliseconds()), 0), written, body));
    }

    private static void Tell(CommandRun run, DirectoryInfo into, CsvLog log, TimedReading[] readings)
    {
        if (log.FirstOdd.Length > 0)
        {
            run.Talk.Say($"{log.RowsWithoutTime} rows have no time that can be read; the first: {log.FirstOdd}");
        }

        if (log.StepsBack > 0)
        {
            run.Talk.Say($"{log.StepsBack} rows are earlier than the row before them; they were put in order. Was the logger's clock set?");
        }

        Instant first = readings.Min(reading => reading.Time);
        Instant last = readings.Max(reading => reading.Time);
        if (run.Json)
        {
            run.Out.Json(new { folder = into.FullName, rows = log.Rows, readings = readings.Length, rowsWithoutTime = log.RowsWithoutTime, oddCells = log.OddCells, stepsBack = log.StepsBack, first, last });
            return;
        }

        run.Out.Line($"{readings.Length} readings of {log.Rows} rows, {first} to {last}, in {into.FullName}.");
        run.Out.Line($"{log.OddCells} cells held no number and were left out. Go on with: kitmesh report {into}");
    }
}
