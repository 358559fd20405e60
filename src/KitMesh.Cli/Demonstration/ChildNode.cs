using System.Diagnostics;

namespace KitMesh.Cli.Demonstration;

/// <summary>A hub or an agent in a process of its own: the same executable, with other words.</summary>
internal sealed class ChildNode : IAsyncDisposable
{
    private static readonly TimeSpan GraceToStop = TimeSpan.FromSeconds(10);

    private readonly string _name;
    private readonly string[] _words;
    private readonly string _log;
    private readonly TimeProvider _machine;
    private Process? _process;
    private Task _copying = Task.CompletedTask;

    public ChildNode(string name, string logFolder, TimeProvider machine, params string[] words)
    {
        _name = name;
        _words = words;
        _machine = machine;
        _log = Path.Combine(logFolder, name + ".log");
    }

    /// <summary>True while the process runs.</summary>
    public bool IsRunning => _process is { HasExited: false };

    /// <summary>Its process id.</summary>
    public int Id => _process?.Id ?? 0;

    /// <summary>Where it writes what it says.</summary>
    public string Log => _log;

    /// <summary>Starts the process.</summary>
    public void Start()
    {
        (string program, string[] before) = ThisProgram();
        var start = new ProcessStartInfo(program)
        {
            RedirectStandardInput = true,
            RedirectStandardOutput = true,
            RedirectStandardError = true,
            UseShellExecute = false,
        };
        foreach (string word in (string[])[.. before, .. _words, "--stop-with-stdin"])
        {
            start.ArgumentList.Add(word);
        }

        // Four processes on a small machine: no tiered recompilation, one heap each.
        start.Environment["DOTNET_TieredPGO"] = "0";
        _process = Process.Start(start) ?? throw new InvalidOperationException($"The process of {_name} could not be started.");
        _copying = CopyAsync(_process);
    }

    /// <summary>Takes its power away, as a dead battery does.</summary>
    public async Task KillAsync()
    {
        _process!.Kill();
        await _process.WaitForExitAsync();
        await _copying;
    }

    /// <summary>Asks it to stop and waits; takes its power away when it does not.</summary>
    public async ValueTask DisposeAsync()
    {
        if (_process is null)
        {
            return;
        }

        if (!_process.HasExited)
        {
            _process.StandardInput.Close();
            using var patience = new CancellationTokenSource(GraceToStop, _machine);
            try
            {
                await _process.WaitForExitAsync(patience.Token);
            }
            catch (OperationCanceledException)
            {
                _process.Kill();
            }
        }

        await _copying;
        _process.Dispose();
        _process = null;
    }

    /// <summary>The last lines that it said.</summary>
    public string LastWords()
    {
        try
        {
            return string.Join(Environment.NewLine, File.ReadAllLines(_log).TakeLast(12));
        }
        catch (IOException)
        {
            return "";
        }
    }

    private static (string Program, string[] Before) ThisProgram()
    {
        string program = Environment.ProcessPath ?? throw new InvalidOperationException("This process does not know its own executable.");
        bool isHost = Path.GetFileNameWithoutExtension(program).Equals("dotnet", StringComparison.OrdinalIgnoreCase);
        return isHost ? (program, [typeof(ChildNode).Assembly.Location]) : (program, []);
    }

    private async Task CopyAsync(Process process)
    {
        await using var log = new StreamWriter(_log, append: true) { AutoFlush = true };
        var gate = new SemaphoreSlim(1);
        async Task Drain(StreamReader reader)
        {
            while (await reader.ReadLineAsync() is { } line)
            {
                await gate.WaitAsync();
                await log.WriteLineAsync(line);
                gate.Release();
            }
        }

        await Task.WhenAll(Drain(process.StandardOutput), Drain(process.StandardError));
    }
}
