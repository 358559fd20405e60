using System.Diagnostics;
using System.Text.RegularExpressions;

namespace KitMesh.EndToEnd.Tests;

/// <summary>The demo, played once for all tests of pages: a real hub with what three teams reported on a week and a half.</summary>
public sealed partial class DemoTrip : IAsyncLifetime
{
    private static readonly TimeSpan LongestPlay = TimeSpan.FromMinutes(12);
    private Process? _demo;

    /// <summary>The hub's address; empty where there is no browser to look at it.</summary>
    public string Address { get; private set; } = "";

    /// <inheritdoc/>
    public async ValueTask InitializeAsync()
    {
        if (!OpenBrowser.IsThere)
        {
            return;
        }

        if (Environment.GetEnvironmentVariable("KITMESH_PAGES_AT") is { Length: > 0 } running)
        {
            Address = running.TrimEnd('/'); // A hub that runs already, for a measurement without the demo beside it.
            return;
        }

        _demo = Executable.Start("demo", "--days", "10");
        Task output = _demo.StandardOutput.ReadToEndAsync();
        using var patience = new CancellationTokenSource(LongestPlay);
        List<string> said = [];
        while (await _demo.StandardError.ReadLineAsync(patience.Token) is { } line)
        {
            said.Add(line);
            if (PageLine().Match(line) is { Success: true } match)
            {
                Address = match.Groups["at"].Value;
                _ = _demo.StandardError.ReadToEndAsync(CancellationToken.None);
                return;
            }
        }

        await output;
        throw new InvalidOperationException($"The demo ended early: {string.Join('\n', said)}");
    }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        if (_demo is { } demo)
        {
            demo.Kill(entireProcessTree: true);
            await demo.WaitForExitAsync();
            demo.Dispose();
        }
    }

    [GeneratedRegex(@"^Page: (?<at>http://127\.0\.0\.1:\d+)/")]
    private static partial Regex PageLine();
}
