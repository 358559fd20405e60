using System.Diagnostics;
using System.Text.Json;

namespace KitMesh.EndToEnd.Tests.Offload;

/// <summary>The real executable, run as a user runs it.</summary>
internal static class OffloadProgram
{
    public static string Executable => Path.Combine(AppContext.BaseDirectory, "kitmesh");

    /// <summary>Starts it.</summary>
    /// <param name="words">The words after the program's name.</param>
    /// <param name="environment">Added to the environment.</param>
    /// <param name="before">Words before the program, such as a program that drops rights.</param>
    public static Process Start(IEnumerable<string> words, IReadOnlyDictionary<string, string>? environment = null, IEnumerable<string>? before = null)
    {
        string[] line = [.. before ?? [], Executable, .. words];
        var start = new ProcessStartInfo(line[0], line[1..]) { RedirectStandardOutput = true, RedirectStandardError = true };
        foreach ((string name, string value) in environment ?? new Dictionary<string, string>())
        {
            start.Environment[name] = value;
        }

        return Process.Start(start)!;
    }

    /// <summary>Runs it to its end.</summary>
    /// <param name="words">The words after the program's name.</param>
    /// <param name="environment">Added to the environment.</param>
    /// <param name="before">Words before the program.</param>
    public static (int Exit, string Output, string Error) Run(IEnumerable<string> words, IReadOnlyDictionary<string, string>? environment = null, IEnumerable<string>? before = null)
    {
        using Process process = Start(words, environment, before);
        Task<string> error = process.StandardError.ReadToEndAsync();
        string output = process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        return (process.ExitCode, output, error.Result);
    }

    /// <summary>The last line of JSON output.</summary>
    /// <param name="output">What the program printed.</param>
    public static JsonElement LastLine(string output) => JsonDocument.Parse(output.TrimEnd().Split('\n')[^1]).RootElement;

    /// <summary>Runs another program; null when it is not installed or failed.</summary>
    /// <param name="program">Its name.</param>
    /// <param name="words">Its words.</param>
    public static string? Other(string program, params string[] words)
    {
        try
        {
            using Process process = Process.Start(new ProcessStartInfo(program, words) { RedirectStandardOutput = true, RedirectStandardError = true })!;
            Task<string> error = process.StandardError.ReadToEndAsync();
            string output = process.StandardOutput.ReadToEnd();
            process.WaitForExit();
            return process.ExitCode == 0 ? output : null;
        }
        catch (System.ComponentModel.Win32Exception)
        {
            return null;
        }
    }
}
