using System.IO.Hashing;
using KitMesh.Disk;

namespace KitMesh.Offload.Engine;

/// <summary>Hashes a buffer on a thread of its own while its owner fills another; one buffer at a time.</summary>
/// <remarks>No task of the common pool: its threads and those that wait for them spin before they sleep, for each piece anew.</remarks>
internal sealed class HashBeside : IDisposable
{
    private const int StackBytes = 256 * 1024;

    private readonly XxHash128 _hash;
    private readonly object _gate = new();
    private AlignedBuffer? _work;
    private bool _ended;
    private Exception? _fault;

    public HashBeside(XxHash128 hash)
    {
        _hash = hash;
        new Thread(Work, StackBytes) { IsBackground = true, Name = "read-back hash" }.Start();
    }

    /// <summary>Starts hashing a whole buffer. The one before must be done: see <see cref="Wait"/>.</summary>
    /// <param name="buffer">The buffer; not to be touched until it is done.</param>
    public void Append(AlignedBuffer buffer)
    {
        lock (_gate)
        {
            _work = buffer;
            Monitor.PulseAll(_gate);
        }
    }

    /// <summary>Waits until nothing is being hashed.</summary>
    /// <exception cref="InvalidOperationException">A fault of this program.</exception>
    public void Wait()
    {
        lock (_gate)
        {
            while (_work is not null)
            {
                Monitor.Wait(_gate);
            }

            if (_fault is not null)
            {
                throw new InvalidOperationException("Hashing failed.", _fault);
            }
        }
    }

    /// <inheritdoc/>
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
        while (Next() is { } buffer)
        {
            try
            {
                _hash.Append(buffer.Span);
            }
            catch (Exception fault)
            {
                _fault = fault;
            }

            lock (_gate)
            {
                _work = null;
                Monitor.PulseAll(_gate);
            }
        }
    }

    private AlignedBuffer? Next()
    {
        lock (_gate)
        {
            while (_work is null && !_ended)
            {
                Monitor.Wait(_gate);
            }

            return _work;
        }
    }
}
