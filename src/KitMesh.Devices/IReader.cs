namespace KitMesh.Devices;

/// <summary>Turns one device into reports. A reader only reads: it never writes to a device.</summary>
/// <remarks>
/// The agent supervises it: an exception or an early return is reported as a fault, and the reader is made anew
/// after a pause. What happens in the field (a silent device, garbage) is no exception: it is a
/// <see cref="KitMesh.Domain.Reports.ReaderFault"/> through the sink, and the reader goes on.
/// </remarks>
public interface IReader : IAsyncDisposable
{
    /// <summary>The reader's name in the agent file.</summary>
    string Name { get; }

    /// <summary>Reads until told to stop, and hands every sample to the sink as soon as it is there.</summary>
    /// <param name="sink">Takes the samples.</param>
    /// <param name="stop">Ends the reading; the task then ends without an exception or with <see cref="OperationCanceledException"/>.</param>
    Task RunAsync(ISampleSink sink, CancellationToken stop);
}
