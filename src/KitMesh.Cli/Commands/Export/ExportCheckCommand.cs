using System.CommandLine;
using KitMesh.Cli.Frame;
using KitMesh.Export.Tables;

namespace KitMesh.Cli.Commands.Export;

/// <summary><c>kitmesh export check</c>: whether exported tables are whole.</summary>
internal sealed class ExportCheckCommand : ICommandFile
{
    private readonly Argument<DirectoryInfo> _folder = new("folder") { Description = "The folder that kitmesh export tables wrote.", HelpName = "folder" };

    public Command Build(Surroundings surroundings) =>
        new Command("check", "Whether exported tables are whole: every file there, with the content that was written. Exit code 1 when something is missing or damaged.") { _folder }.Runs(surroundings, Run);

    private ExitCode Run(CommandRun run)
    {
        DirectoryInfo folder = run.Get(_folder);
        if (!folder.Exists)
        {
            throw CommandFault.BadInput($"There is no folder {folder.FullName}.");
        }

        IReadOnlyList<string> wrong = ExportList.Check(folder.FullName);
        if (run.Json)
        {
            run.Out.Json(new { folder = folder.FullName, isWhole = wrong.Count == 0, wrong });
        }
        else
        {
            foreach (string line in wrong.DefaultIfEmpty("Whole: every file is there as it was written."))
            {
                run.Out.Line(line);
            }
        }

        return wrong.Count == 0 ? ExitCode.Good : ExitCode.BadNews;
    }
}
