using System.Threading.Channels;
using KitMesh.Devices;
using KitMesh.Domain.Reports;

namespace KitMesh.TestKit.Agent;

/// <summary>A reader that reads whatever a test puts in, and breaks when told.</summary>
public sealed class ScriptedReader
{
    private readonly Channel<Sample?> _samples = Channel.CreateUnbounded<Sample?>();

    /// <summary>How often the agent made it.</summary>
    public int Starts { get; private set; }

    /// <summary>For the agent's options.</summary>
    public ReaderFactory Factory => context =>
    {
        Starts++;
        return new Running(this);
    };

    /// <summary>The device has a reading.</summary>
    public void Read(ReportBody body) => _samples.Writer.TryWrite(new Sample(body));

    /// <summary>The reader throws.</summary>
    public void Break() => _samples.Writer.TryWrite(null);

    private sealed class Running(ScriptedReader script) : IReader
    {
        public string Name => "scripted";

        public async Task RunAsync(ISampleSink sink, CancellationToken stop)
        {
            await foreach (Sample? sample in script._samples.Reader.ReadAllAsync(stop))
            {
                await sink.WriteAsync(sample ?? throw new InvalidOperationException("the test broke it"), stop);
            }
        }

        public ValueTask DisposeAsync() => ValueTask.CompletedTask;
    }
}
