using System.CommandLine;
using KitMesh.Cli.Frame;
using KitMesh.Cli.Running;
using KitMesh.Domain.Reports;
using KitMesh.Domain.State;
using KitMesh.Export.Tables;

namespace KitMesh.Cli.Commands.Export;

/// <summary><c>kitmesh export tables</c>: everything a hub heard as tables.</summary>
internal sealed class ExportTablesCommand : ICommandFile
{
    private readonly Option<DirectoryInfo> _data = new("--data") { Description = "The data folder of a hub that is stopped. Required.", Required = true, HelpName = "folder" };
    private readonly Option<DirectoryInfo?> _to = OptionKit.Folder("--to", "Where the tables go; must be empty.", required: true);
    private readonly Option<string> _format = new("--format") { Description = "parquet or csv.", DefaultValueFactory = _ => "parquet" };

    public ExportTablesCommand() => _format.AcceptOnlyFromAmong("parquet", "csv");

    public Command Build(Surroundings surroundings) =>
        new Command("tables", "Write every report and hourly roll-ups as tables by team and day (docs/analysis.md), from the data folder of a hub that is stopped.")
        {
            _data, _to, _format,
        }.Runs(surroundings, RunAsync);

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        DirectoryInfo to = run.Get(_to)!;
        if (to.Exists && to.EnumerateFileSystemInfos().Any())
        {
            throw CommandFault.BadInput($"{to.FullName} is not empty.", "Tables of two exports must not mix: name an empty or a new folder.");
        }

        using DataFolder data = DataFolder.Open(run, run.Get(_data));
        await using TableExport export = await WriteAsync(run, data, to.FullName, run.Get(_format) == "csv" ? TableFormat.Csv : TableFormat.Parquet);
        if (run.Json)
        {
            run.Out.Json(new { folder = to.FullName, readings = export.Readings, reports = export.Reports, rollUps = export.RollUps, files = export.Files });
        }
        else
        {
            run.Out.Line($"{export.Readings} readings, {export.RollUps} hourly roll-ups and {export.Reports} other reports in {export.Files} files under {to.FullName}.");
        }

        return ExitCode.Good;
    }

    /// <summary>Writes the tables of a data folder.</summary>
    internal static async Task<TableExport> WriteAsync(CommandRun run, DataFolder data, string folder, TableFormat format)
    {
        StateEngine engine = data.Fold(run.Stop);
        var export = new TableExport(folder, format, engine.State);
        try
        {
            foreach (Report report in data.Decoded())
            {
                await export.AddAsync(engine.Retiming.Time(report), run.Stop);
            }

            await export.CompleteAsync(run.Stop);
        }
        catch
        {
            await export.DisposeAsync();
            throw;
        }

        return export;
    }
}
