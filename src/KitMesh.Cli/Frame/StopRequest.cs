using System.Runtime.InteropServices;

namespace KitMesh.Cli.Frame;

/// <summary>Ctrl+C and SIGTERM as one cancellation, with what it was.</summary>
internal sealed class StopRequest : IDisposable
{
    private readonly CancellationTokenSource _source = new();
    private readonly List<PosixSignalRegistration> _signals = [];

    /// <summary>Cancelled when the process is asked to stop.</summary>
    public CancellationToken Token => _source.Token;

    /// <summary>True once asked.</summary>
    public bool IsCancellationRequested => _source.IsCancellationRequested;

    /// <summary>True when a service supervisor asked (SIGTERM): a service that then ends cleanly did its job.</summary>
    public bool ByTerminate { get; private set; }

    /// <summary>The exit code of a service that ran until it was asked to stop.</summary>
    public ExitCode ServiceExit => ByTerminate ? ExitCode.Good : ExitCode.Interrupted;

    /// <summary>Listens to the signals of this process.</summary>
    public static StopRequest OnSignals()
    {
        var request = new StopRequest();
        request._signals.Add(PosixSignalRegistration.Create(PosixSignal.SIGINT, context => request.Ask(context, terminate: false)));
        request._signals.Add(PosixSignalRegistration.Create(PosixSignal.SIGTERM, context => request.Ask(context, terminate: true)));
        return request;
    }

    /// <summary>Asks to stop, as Ctrl+C would.</summary>
    public void Ask() => _source.Cancel();

    /// <inheritdoc/>
    public void Dispose()
    {
        foreach (PosixSignalRegistration signal in _signals)
        {
            signal.Dispose();
        }

        _source.Dispose();
    }

    private void Ask(PosixSignalContext context, bool terminate)
    {
        // A second Ctrl+C ends the process at once, as anybody expects of it.
        if (_source.IsCancellationRequested)
        {
            return;
        }

        context.Cancel = true;
        ByTerminate = terminate;
        _source.Cancel();
    }
}
