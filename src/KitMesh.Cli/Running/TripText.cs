using KitMesh.Cli.Frame;
using KitMesh.Domain.Kit;
using KitMesh.TripFile;
using NodaTime;

namespace KitMesh.Cli.Running;

/// <summary>Reads a trip file for a command: mistakes end it with exit code 2, questions are said and passed.</summary>
internal static class TripText
{
    /// <summary>The shortest recheck age among a trip file's copy rules; null when there is none, or no sound file.</summary>
    /// <param name="file">The file.</param>
    public static Duration? RecheckAgeIn(string file)
    {
        try
        {
            return File.Exists(file) && TripFileReader.Read(file, File.ReadAllText(file)) is TripRead read
                ? read.Items.OfType<CopyRule>().Min(rule => rule.RecheckAge)
                : null;
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            return null;
        }
    }

    /// <summary>The file's items; null when no file is named.</summary>
    public static TripRead? Check(CommandRun run, string? file)
    {
        if (file is null)
        {
            return null;
        }

        if (!File.Exists(file))
        {
            throw CommandFault.BadInput($"There is no trip file {file}.", "deploy/trip.example.yaml is one to start from.");
        }

        switch (TripFileReader.Read(file, File.ReadAllText(file)))
        {
            case TripRead read:
                foreach (TripProblem question in read.Questions)
                {
                    run.Talk.Say($"Please look again: {question}");
                }

                return read;
            case TripRefused refused:
                foreach (TripProblem problem in refused.Problems)
                {
                    run.Talk.Say(problem.ToString());
                }

                int errors = refused.Problems.Count(problem => !problem.IsQuestion);
                throw CommandFault.BadInput($"The trip file {file} has {errors} {(errors == 1 ? "mistake" : "mistakes")}; nothing of it was used.");
            default:
                throw new InvalidOperationException("A trip file is read or refused.");
        }
    }
}
