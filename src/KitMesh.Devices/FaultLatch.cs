using KitMesh.Domain;
using KitMesh.Domain.Reports;

namespace KitMesh.Devices;

/// <summary>Reports a reader's fault once when it comes, once when it changes and once when it goes, not at each poll.</summary>
/// <param name="reader">The reader's name.</param>
/// <param name="sink">Takes the reports.</param>
internal sealed class FaultLatch(string reader, ISampleSink sink)
{
    // Bounded: a reader has as many subjects as its file names, a device that invents some gets no more than this.
    private const int MaxSubjects = 256;

    private readonly Dictionary<string, string> _standing = new(StringComparer.Ordinal);

    /// <summary>Something is wrong with a part of the device.</summary>
    public async ValueTask RaiseAsync(string part, KitId? subject, string message, ReadOnlyMemory<byte> raw, CancellationToken stop)
    {
        if ((_standing.TryGetValue(part, out string? before) && before == message) || (before is null && _standing.Count >= MaxSubjects))
        {
            return;
        }

        _standing[part] = message;
        ValueList<byte> kept = ValueList.Create(raw.Span[..Math.Min(raw.Length, ReaderFault.MaxRaw)]);
        await sink.WriteAsync(new Sample(new ReaderFault(reader, subject, message, kept, Cleared: false)), stop).ConfigureAwait(false);
    }

    /// <summary>That part is well (again).</summary>
    public async ValueTask ClearAsync(string part, KitId? subject, CancellationToken stop)
    {
        if (_standing.Remove(part, out string? message))
        {
            await sink.WriteAsync(new Sample(new ReaderFault(reader, subject, $"Well again; before: {message}", [], Cleared: true)), stop).ConfigureAwait(false);
        }
    }
}
