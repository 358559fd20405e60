using KitMesh.Devices;
using KitMesh.Domain.Reports;

namespace KitMesh.Agent.Supervision;

/// <summary>Says once, before the first sample of a started reader, that it runs: clears what its breaking before left standing.</summary>
/// <param name="reader">The reader's name.</param>
/// <param name="next">Takes the samples.</param>
internal sealed class StartedSink(string reader, ISampleSink next) : ISampleSink
{
    private int _started;

    /// <inheritdoc/>
    public async ValueTask WriteAsync(Sample sample, CancellationToken stop)
    {
        if (Interlocked.Exchange(ref _started, 1) == 0)
        {
            await next.WriteAsync(new Sample(new ReaderFault(reader, null, "The reader runs.", [], Cleared: true)), stop).ConfigureAwait(false);
        }

        await next.WriteAsync(sample, stop).ConfigureAwait(false);
    }

    /// <inheritdoc/>
    public ValueTask FlushAsync(CancellationToken stop) => next.FlushAsync(stop);
}
