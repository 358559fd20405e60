using KitMesh.Cli.Frame;
using KitMesh.Domain.Planning;
using KitMesh.TripFile;
using KitMesh.TripFile.Learnt;

namespace KitMesh.Cli.Running;

/// <summary>Reads a file of learnt kit for a command: mistakes end it with exit code 2.</summary>
internal static class LearntText
{
    private const int MostBytes = 16 << 20;

    /// <summary>The file's knowledge.</summary>
    public static LearntKit Read(CommandRun run, string file)
    {
        var info = new FileInfo(file);
        if (!info.Exists)
        {
            throw CommandFault.BadInput($"There is no file {file}.", "kitmesh learn --from DATA --into kit.yaml writes one.");
        }

        if (info.Length > MostBytes)
        {
            throw CommandFault.BadInput($"{file} is larger than any file of learnt kit.", "kitmesh learn writes one.");
        }

        LearntFileResult result = LearntFileReader.Read(file, File.ReadAllText(file));
        foreach (TripProblem problem in result.Problems)
        {
            run.Talk.Say(problem.ToString());
        }

        return result.Learnt ?? throw CommandFault.BadInput($"{file} cannot be used; nothing of it was.", "Write it anew with kitmesh learn --from DATA --into kit.yaml, or mend the lines above.");
    }
}
