using Spectre.Console;

namespace KitMesh.Cli.Frame;

/// <summary>Stderr: what is going on, for a person; never data.</summary>
internal sealed class Talk
{
    private readonly TextWriter _stream;
    private readonly Lock _lock = new();
    private readonly bool _terminal;
    private readonly IAnsiConsole _console;

    public Talk(Surroundings surroundings)
    {
        _stream = surroundings.ErrorStream;
        _terminal = surroundings.ErrorIsTerminal;
        _console = AnsiConsole.Create(new AnsiConsoleSettings
        {
            Ansi = _terminal && surroundings.Colour ? AnsiSupport.Detect : AnsiSupport.No,
            ColorSystem = _terminal && surroundings.Colour ? ColorSystemSupport.Detect : ColorSystemSupport.NoColors,
            Out = new AnsiConsoleOutput(_stream),
        });
    }

    /// <summary>One line.</summary>
    /// <param name="text">The line.</param>
    public void Say(string text)
    {
        lock (_lock)
        {
            // Through the console where there may be a progress bar, so that the bar moves down instead of breaking.
            if (_terminal)
            {
                _console.Write(new Text(text));
                _console.WriteLine();
            }
            else
            {
                _stream.WriteLine(text);
            }
        }
    }

    /// <summary>Runs long work under a progress bar; on anything but a terminal, without one.</summary>
    /// <param name="title">What is being done.</param>
    /// <param name="work">The work; it is handed where to say how far it is, from 0 to 1.</param>
    public async Task WithProgressAsync(string title, Func<Action<double>, Task> work)
    {
        if (!_terminal)
        {
            await work(static _ => { });
            return;
        }

        await _console.Progress().AutoClear(true).StartAsync(async context =>
        {
            ProgressTask bar = context.AddTask(Markup.Escape(title), maxValue: 1);
            await work(share => bar.Value = share);
        });
    }
}
