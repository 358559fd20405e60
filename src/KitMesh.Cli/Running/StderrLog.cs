using KitMesh.Cli.Frame;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;

namespace KitMesh.Cli.Running;

/// <summary>Sends a host's log messages to stderr, one line each.</summary>
internal sealed class StderrLog : ILoggerProvider
{
    private readonly Talk _talk;

    private StderrLog(Talk talk) => _talk = talk;

    /// <summary>Adds it to a host.</summary>
    public static void Add(ILoggingBuilder logging, Talk talk, LogLevel least)
    {
        logging.SetMinimumLevel(least);
        logging.Services.AddSingleton<ILoggerProvider>(new StderrLog(talk));
    }

    /// <inheritdoc/>
    public ILogger CreateLogger(string categoryName) => new Line(_talk, categoryName[(categoryName.LastIndexOf('.') + 1)..]);

    /// <inheritdoc/>
    public void Dispose()
    {
        // The talk belongs to the run.
    }

    private sealed class Line(Talk talk, string category) : ILogger
    {
        public IDisposable? BeginScope<TState>(TState state)
            where TState : notnull => null;

        public bool IsEnabled(LogLevel logLevel) => logLevel != LogLevel.None;

        public void Log<TState>(LogLevel logLevel, EventId eventId, TState state, Exception? exception, Func<TState, Exception?, string> formatter)
        {
            string weight = logLevel >= LogLevel.Error ? "error: " : logLevel == LogLevel.Warning ? "warning: " : "";
            talk.Say($"{category}: {weight}{formatter(state, exception)}{(exception is null ? "" : $" ({exception.GetType().Name}: {exception.Message})")}");
        }
    }
}
