using System.Diagnostics;

namespace KitMesh.EndToEnd.Tests;

/// <summary>The real executable, as built beside these tests.</summary>
internal static class Executable
{
    private static readonly string Assembly = typeof(Cli.Frame.ExitCode).Assembly.Location;

    /// <summary>Runs it to its end.</summary>
    /// <param name="words">The words after its name.</param>
    public static Task<Finished> RunAsync(params string[] words) => RunAsync(TimeSpan.FromMinutes(4), words);

    /// <summary>Runs it to its end, within a time.</summary>
    /// <param name="most">Longest time.</param>
    /// <param name="words">The words after its name.</param>
    public static async Task<Finished> RunAsync(TimeSpan most, params string[] words)
    {
        using Process process = Start(words);
        process.StandardInput.Close();
        using var patience = CancellationTokenSource.CreateLinkedTokenSource(TestContext.Current.CancellationToken);
        patience.CancelAfter(most);
        Task<string> output = process.StandardOutput.ReadToEndAsync(patience.Token);
        Task<string> error = process.StandardError.ReadToEndAsync(patience.Token);
        try
        {
            await process.WaitForExitAsync(patience.Token);
            return new Finished(process.ExitCode, await output, await error);
        }
        catch (OperationCanceledException)
        {
            process.Kill(entireProcessTree: true);
            throw new TimeoutException($"kitmesh {string.Join(' ', words)} did not end within {most}.");
        }
    }

    /// <summary>Starts it with its streams redirected.</summary>
    /// <param name="words">The words after its name.</param>
    public static Process Start(params string[] words) => Start(new Dictionary<string, string>(), words);

    /// <summary>The same, with variables in its surroundings.</summary>
    /// <param name="variables">The variables.</param>
    /// <param name="words">The words after its name.</param>
    public static Process Start(IReadOnlyDictionary<string, string> variables, params string[] words)
    {
        var start = new ProcessStartInfo("dotnet")
        {
            RedirectStandardInput = true,
            RedirectStandardOutput = true,
            RedirectStandardError = true,
            UseShellExecute = false,
        };
        foreach ((string name, string value) in variables)
        {
            start.Environment[name] = value;
        }

        start.ArgumentList.Add(Assembly);
        foreach (string word in words)
        {
            start.ArgumentList.Add(word);
        }

        return Process.Start(start) ?? throw new InvalidOperationException("dotnet could not be started.");
    }

    /// <summary>What a run left behind.</summary>
    internal sealed record Finished(int Code, string Output, string Error);
}
