using System.Diagnostics;
using System.Globalization;
using System.Text.Json;
using KitMesh.Cli.Frame;

namespace KitMesh.Cli.Commands.Bench;

/// <summary>The sending process, seen from the measuring one.</summary>
internal sealed class IngestSenderProcess : IDisposable
{
    private readonly Process _process;

    private IngestSenderProcess(Process process) => _process = process;

    /// <summary>Starts it and waits until it has warmed up.</summary>
    /// <param name="words">Its options.</param>
    /// <param name="cancellation">Gives up.</param>
    public static async Task<IngestSenderProcess> StartAsync(IEnumerable<string> words, CancellationToken cancellation)
    {
        var start = new ProcessStartInfo(Environment.ProcessPath!) { RedirectStandardOutput = true, RedirectStandardInput = true, UseShellExecute = false };
        if (Path.GetFileNameWithoutExtension(Environment.ProcessPath!) == "dotnet")
        {
            start.ArgumentList.Add(typeof(IngestBench).Assembly.Location);
        }

        foreach (string word in words)
        {
            start.ArgumentList.Add(word);
        }

        var sender = new IngestSenderProcess(Process.Start(start) ?? throw CommandFault.BadInput("The sending process could not be started."));
        string? said = await sender._process.StandardOutput.ReadLineAsync(cancellation);
        return said == IngestSenderBench.Warm ? sender : throw CommandFault.BadInput("The sending process ended before it was warm.");
    }

    /// <summary>Whether it still runs.</summary>
    public bool IsRunning => !_process.HasExited;

    /// <summary>Lets it send what is measured.</summary>
    /// <param name="cancellation">Gives up.</param>
    public async Task<IngestSent> SendAsync(CancellationToken cancellation)
    {
        await _process.StandardInput.WriteLineAsync("go".AsMemory(), cancellation);
        await _process.StandardInput.FlushAsync(cancellation);
        string? output = await _process.StandardOutput.ReadLineAsync(cancellation);
        return output is not null
            ? JsonSerializer.Deserialize<IngestSent>(output, JsonSerializerOptions.Web)!
            : throw CommandFault.BadInput("The sending process ended without a result.");
    }

    /// <summary>The words that start it.</summary>
    public static IEnumerable<string> Words(Uri hub, string? pin, int agents, int reports, int batch, int warm, bool compress)
    {
        string[] words =
        [
            "bench", "ingest-sender", "--json", "--hub", hub.ToString(),
            "--agents", Text(agents), "--reports", Text(reports), "--batch", Text(batch), "--warm", Text(warm),
        ];
        return [.. words, .. pin is null ? Array.Empty<string>() : ["--pin", pin], .. compress ? ["--compress"] : Array.Empty<string>()];
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        if (!_process.HasExited)
        {
            _process.Kill();
        }

        _process.Dispose();
    }

    private static string Text(int value) => value.ToString(CultureInfo.InvariantCulture);
}
