using System.Threading.Channels;
using KitMesh.Devices;
using KitMesh.Domain.Reports;

namespace KitMesh.TestKit.Devices;

/// <summary>A sink that keeps what readers write, and lets a test wait for it. "It answers" at a start is passed over.</summary>
public sealed class RecordingSink : ISampleSink
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(20);

    private readonly Channel<Sample> _samples = Channel.CreateUnbounded<Sample>();

    /// <summary>How often a reader asked for durability.</summary>
    public int Flushes { get; private set; }

    /// <inheritdoc/>
    public ValueTask WriteAsync(Sample sample, CancellationToken stop) =>
        sample.Body is ReaderFault { Message: FaultLatch.FirstAnswer } ? ValueTask.CompletedTask : _samples.Writer.WriteAsync(sample, stop);

    /// <inheritdoc/>
    public ValueTask FlushAsync(CancellationToken stop)
    {
        Flushes++;
        return ValueTask.CompletedTask;
    }

    /// <summary>The next sample whose body is of a kind; what comes before it is passed over.</summary>
    public async Task<Sample> NextSampleAsync<T>(Func<T, bool>? suits = null)
        where T : ReportBody
    {
        using var patience = new CancellationTokenSource(Patience);
        while (true)
        {
            Sample sample = await _samples.Reader.ReadAsync(patience.Token);
            if (sample.Body is T body && (suits?.Invoke(body) ?? true))
            {
                return sample;
            }
        }
    }

    /// <summary>The next body of a kind.</summary>
    public async Task<T> NextAsync<T>(Func<T, bool>? suits = null)
        where T : ReportBody => (T)(await NextSampleAsync(suits)).Body;

    /// <summary>What has been written and not been taken.</summary>
    public IReadOnlyList<Sample> TakeAll()
    {
        var all = new List<Sample>();
        while (_samples.Reader.TryRead(out Sample sample))
        {
            all.Add(sample);
        }

        return all;
    }
}
