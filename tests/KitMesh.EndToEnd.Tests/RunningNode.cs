using System.Diagnostics;
using System.Text;
using System.Text.Json;

namespace KitMesh.EndToEnd.Tests;

/// <summary>A hub or an agent in a process of its own, asked with <c>--json</c> so that its first line of stdout says that it runs.</summary>
internal sealed class RunningNode : IAsyncDisposable
{
    // On a machine where many tests share few cores a start that takes a second can take a minute.
    private static readonly TimeSpan LongestStart = TimeSpan.FromSeconds(180);

    private readonly Process _process;
    private readonly StringBuilder _said = new();
    private readonly Task _listening;

    private RunningNode(Process process, JsonElement started, Task listening, StringBuilder said)
    {
        _process = process;
        Started = started;
        _listening = listening;
        _said = said;
    }

    /// <summary>The line by which it said that it runs.</summary>
    public JsonElement Started { get; }

    /// <summary>The process's number.</summary>
    public int Id => _process.Id;

    /// <summary>A hub's address.</summary>
    public string Address => Started.GetProperty("address").GetString()!.TrimEnd('/');

    /// <summary>What it said on stderr so far.</summary>
    public string Said
    {
        get
        {
            lock (_said)
            {
                return _said.ToString();
            }
        }
    }

    /// <summary>Starts a hub on any free port.</summary>
    public static Task<RunningNode> HubAsync(string data, params string[] more) =>
        StartAsync(["hub", "--json", "--data", data, "--listen", "http://127.0.0.1:0", .. more]);

    /// <summary>Starts a node and waits until it says that it runs.</summary>
    public static async Task<RunningNode> StartAsync(params string[] words)
    {
        Process process = Executable.Start([.. words, "--stop-with-stdin"]);
        var said = new StringBuilder();
        Task listening = ListenAsync(process, said);
        string? line;
        try
        {
            line = await process.StandardOutput.ReadLineAsync(TestContext.Current.CancellationToken).AsTask().WaitAsync(LongestStart, TestContext.Current.CancellationToken);
        }
        catch (Exception stopped) when (stopped is TimeoutException or OperationCanceledException)
        {
            process.Kill(entireProcessTree: true);
            await listening;
            process.Dispose();
            throw new TimeoutException($"kitmesh {string.Join(' ', words)} did not say within {LongestStart.TotalSeconds:0} s that it runs. It said: \"{said}\"", stopped);
        }

        if (line is null)
        {
            await listening;
            await process.WaitForExitAsync(TestContext.Current.CancellationToken);
            throw new InvalidOperationException($"kitmesh {string.Join(' ', words)} did not start; it ended with {process.ExitCode} and said: {said}");
        }

        return new RunningNode(process, JsonDocument.Parse(line).RootElement, listening, said);
    }

    /// <summary>Takes its power away.</summary>
    public async Task KillAsync()
    {
        _process.Kill();
        await _process.WaitForExitAsync(TestContext.Current.CancellationToken);
    }

    /// <summary>Asks it to stop and returns its exit code.</summary>
    public async Task<int> StopAsync()
    {
        _process.StandardInput.Close();
        await _process.WaitForExitAsync(TestContext.Current.CancellationToken).WaitAsync(LongestStart, TestContext.Current.CancellationToken);
        return _process.ExitCode;
    }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        if (!_process.HasExited)
        {
            _process.Kill(entireProcessTree: true);
            await _process.WaitForExitAsync();
        }

        await _listening;
        _process.Dispose();
    }

    private static async Task ListenAsync(Process process, StringBuilder said)
    {
        while (await process.StandardError.ReadLineAsync() is { } line)
        {
            lock (said)
            {
                said.AppendLine(line);
            }
        }
    }
}
