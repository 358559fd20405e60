using System.Runtime.ExceptionServices;

namespace KitMesh.Offload.Engine;

/// <summary>A thread that asks one drive or card for somebody who must not hang with it.</summary>
/// <param name="name">The drive or card.</param>
/// <param name="answer">Tells whether it answers.</param>
internal sealed class DriveCaller(string name, DriveAnswer answer) : IDisposable
{
    private const int StackBytes = 512 * 1024;

    private readonly object _gate = new();
    private Thread? _thread;
    private Action? _work;
    private bool _throughout;
    private ExceptionDispatchInfo? _fault;
    private bool _ended;

    /// <summary>Does something with the drive and waits for it.</summary>
    /// <param name="work">What; its faults come out of here.</param>
    /// <param name="throughout">Takes what lies between two calls of the work for a call too.</param>
    /// <returns>False when the drive was given up; the work may still go on then, until the drive answers.</returns>
    public bool TryCall(Action work, bool throughout = true)
    {
        lock (_gate)
        {
            if (_ended)
            {
                return false;
            }

            if (_thread is null)
            {
                _thread = new Thread(Work, StackBytes) { IsBackground = true, Name = $"{name} calls" };
                _thread.Start();
            }

            _work = work;
            _throughout = throughout;
            _fault = null;
            Monitor.PulseAll(_gate);
            while (_work is not null && !_ended)
            {
                Monitor.Wait(_gate);
            }

            if (_ended || _fault?.SourceException is DriveGivenUpException)
            {
                return false;
            }

            _fault?.Throw();
            return true;
        }
    }

    /// <summary>Waits no longer, now and ever.</summary>
    public void Dispose()
    {
        lock (_gate)
        {
            _ended = true;
            Monitor.PulseAll(_gate);
        }
    }

    private void Work()
    {
        while (Next() is { } work)
        {
            ExceptionDispatchInfo? fault = null;
            try
            {
                using (answer.Listen(_throughout))
                {
                    work();
                }
            }
            catch (Exception e)
            {
                fault = ExceptionDispatchInfo.Capture(e);
            }

            lock (_gate)
            {
                _fault = fault;
                _work = null;
                Monitor.PulseAll(_gate);
            }
        }
    }

    private Action? Next()
    {
        lock (_gate)
        {
            while (_work is null && !_ended)
            {
                Monitor.Wait(_gate);
            }

            return _ended ? null : _work;
        }
    }
}
