using System.Threading.Channels;

namespace KitMesh.Storage.LiteDb;

/// <summary>The one thread that touches the database, behind a queue with a bound.</summary>
/// <remarks>
/// Three concurrent readers made this database give wrong rows and fail within seconds once its file outgrew its page cache,
/// and a transaction belongs to the thread that began it. So every call, enumeration included, runs here, one after another.
/// After an unexpected failure nothing more runs: what is in memory may no longer fit what is in the file.
/// </remarks>
internal sealed class OwnerThread : IDisposable
{
    private readonly Channel<Action> _queue;
    private readonly Thread _thread;
    private readonly string _subject;
    private StoreFaultedException? _fault;

    /// <param name="subject">What the thread owns, for messages.</param>
    /// <param name="queueLength">The most calls that wait.</param>
    public OwnerThread(string subject, int queueLength)
    {
        _subject = subject;
        _queue = Channel.CreateBounded<Action>(new BoundedChannelOptions(queueLength) { SingleReader = true });
        _thread = new Thread(RunAll) { IsBackground = true, Name = "store owner" };
        _thread.Start();
    }

    /// <summary>Why nothing runs any more; null while all is well.</summary>
    public StoreFaultedException? Fault => Volatile.Read(ref _fault);

    /// <summary>Runs work on the thread.</summary>
    /// <exception cref="StoreFaultedException">The work failed, or work before it did.</exception>
    /// <exception cref="ObjectDisposedException">The store is closed.</exception>
    public async Task<T> RunAsync<T>(Func<T> work, CancellationToken cancellation)
    {
        var done = new TaskCompletionSource<T>(TaskCreationOptions.RunContinuationsAsynchronously);
        try
        {
            await _queue.Writer.WriteAsync(() => Run(work, done), cancellation).ConfigureAwait(false);
        }
        catch (ChannelClosedException)
        {
            throw new ObjectDisposedException(_subject, "The store is closed.");
        }

        return await done.Task.ConfigureAwait(false);
    }

    /// <summary>Ends the thread after what is queued. Not to be called from it.</summary>
    public void Dispose()
    {
        _queue.Writer.TryComplete();
        _thread.Join();
    }

    private void RunAll()
    {
        ChannelReader<Action> reader = _queue.Reader;
        while (reader.WaitToReadAsync().AsTask().GetAwaiter().GetResult())
        {
            while (reader.TryRead(out Action? action))
            {
                action();
            }
        }
    }

    private void Run<T>(Func<T> work, TaskCompletionSource<T> done)
    {
        if (_fault is not null)
        {
            done.SetException(new StoreFaultedException(_fault.Message, _fault));
            return;
        }

        try
        {
            done.SetResult(work());
        }
#pragma warning disable CA1031 // A broken database file fails with any exception there is; every one of them ends the store.
        catch (Exception failure)
#pragma warning restore CA1031
        {
            var fault = new StoreFaultedException($"{_subject} failed: {failure.Message} Nothing acknowledged is lost: the journal refills it.", failure);
            Volatile.Write(ref _fault, fault);
            done.SetException(fault);
        }
    }
}
