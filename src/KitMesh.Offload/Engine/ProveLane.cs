using System.Collections.Concurrent;

namespace KitMesh.Offload.Engine;

/// <summary>Reads back what its drive's writer has committed, beside the writing.</summary>
internal sealed class ProveLane : IDisposable
{
    private const int QueueLength = 16;

    private readonly BlockingCollection<IReadOnlyList<WrittenCopy>> _batches = new(QueueLength);
    private readonly CopyProver _prover;
    private readonly DriveAnswer _answer;
    private readonly Thread _thread;
    private Exception? _fault;

    public ProveLane(CopyProver prover, string name, DriveAnswer answer)
    {
        _prover = prover;
        _answer = answer;
        _thread = new Thread(Work, 256 * 1024) { Name = $"{name} read-back", IsBackground = true };
        _thread.Start();
    }

    /// <summary>Takes a batch; waits while too many wait already.</summary>
    /// <param name="batch">Copies that were committed together.</param>
    public void Post(IReadOnlyList<WrittenCopy> batch) => _batches.Add(batch);

    /// <summary>No more batches will come; waits until all are read back.</summary>
    /// <exception cref="InvalidOperationException">A fault of this program.</exception>
    public void Finish()
    {
        _batches.CompleteAdding();
        _thread.Join();
        if (_fault is not null)
        {
            throw new InvalidOperationException($"The {_thread.Name} lane failed.", _fault);
        }
    }

    /// <inheritdoc/>
    public void Dispose() => _batches.Dispose();

    private void Work()
    {
        foreach (IReadOnlyList<WrittenCopy> batch in _batches.GetConsumingEnumerable())
        {
            if (_fault is not null)
            {
                continue;
            }

            try
            {
                using (_answer.Listen())
                {
                    _prover.Prove(batch);
                }
            }
            catch (Exception fault)
            {
                _fault = fault;
            }
        }
    }
}
