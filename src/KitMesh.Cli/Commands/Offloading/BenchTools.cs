using System.Diagnostics;
using KitMesh.Cli.Frame;

namespace KitMesh.Cli.Commands.Offloading;

/// <summary>Common tools doing the same job, to compare with.</summary>
internal static class BenchTools
{
    /// <summary><c>cp -a</c> to each drive, then <c>xxhsum -H2</c> over all four trees.</summary>
    /// <param name="card">The card.</param>
    /// <param name="drives">The drives.</param>
    public static void CopyThenSum(string card, string[] drives)
    {
        foreach (string drive in drives)
        {
            Run("cp", "-a", card, drive);
        }

        Run("sync");
        foreach (string tree in (string[])[card, .. drives])
        {
            Run("sh", "-c", $"find '{tree}' -type f -print0 | xargs -0 xxhsum -H2 > /dev/null");
        }
    }

    /// <summary><c>rsync -a</c> to each drive, then a run of each that compares checksums.</summary>
    /// <param name="card">The card.</param>
    /// <param name="drives">The drives.</param>
    public static void Rsync(string card, string[] drives)
    {
        foreach (string drive in drives)
        {
            Run("rsync", "-a", $"{card}/", drive);
        }

        Run("sync");
        foreach (string drive in drives)
        {
            Run("rsync", "-a", "--checksum", "--dry-run", $"{card}/", drive);
        }
    }

    /// <summary>Runs a program; its output as text.</summary>
    /// <param name="program">The program.</param>
    /// <param name="words">Its words.</param>
    public static string Run(string program, params string[] words)
    {
        using Process process = Start(program, words);
        Task<string> error = process.StandardError.ReadToEndAsync();
        string output = process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        return process.ExitCode == 0 ? output.Trim() : throw CommandFault.BadInput($"{program} failed: {error.Result.Trim()}");
    }

    private static Process Start(string program, string[] words)
    {
        try
        {
            return Process.Start(new ProcessStartInfo(program, words) { RedirectStandardOutput = true, RedirectStandardError = true })!;
        }
        catch (System.ComponentModel.Win32Exception missing)
        {
            throw CommandFault.BadInput($"{program} is not installed.", "Install it, or leave this comparison out.", missing);
        }
    }
}
