using KitMesh.Domain;
using KitMesh.Domain.Reports;

namespace KitMesh.Devices;

// Problem: a fault is reported when it comes, when it changes and when it goes, not at each poll.
// Traps: the mesh keeps one fault for each reader and kit item, and a reader may have several parts for one item (two
// probes in one pack): one part that is well again must not clear the other. A fault that a former process reported
// stands for ever when the new process finds the device well and says nothing.
// Method: parts are kept apart here and joined in what is said; the first good answer of each item is said once.

/// <summary>Tells a reader's faults once.</summary>
/// <param name="reader">The reader's name.</param>
/// <param name="sink">Takes the reports.</param>
internal sealed class FaultLatch(string reader, ISampleSink sink)
{
    /// <summary>What is said at the first good answer of an item.</summary>
    public const string FirstAnswer = "It answers.";

    // Bounded: a reader has as many parts as its file names, a device that invents some gets no more than this.
    private const int MaxParts = 256;

    private readonly SortedDictionary<string, (KitId? Subject, string Message)> _standing = new(StringComparer.Ordinal);
    private readonly HashSet<KitId> _known = [];

    /// <summary>Something is wrong with a part of the device.</summary>
    public async ValueTask RaiseAsync(string part, KitId? subject, string message, ReadOnlyMemory<byte> raw, CancellationToken stop)
    {
        bool stood = _standing.TryGetValue(part, out (KitId? Subject, string Message) before);
        if ((stood && before.Message == message) || (!stood && _standing.Count >= MaxParts))
        {
            return;
        }

        _standing[part] = (subject, message);
        Know(subject);
        await SayAsync(subject, message + Others(part, subject), raw, cleared: false, stop).ConfigureAwait(false);
    }

    /// <summary>That part is well (again).</summary>
    public async ValueTask ClearAsync(string part, KitId? subject, CancellationToken stop)
    {
        if (_standing.Remove(part, out (KitId? Subject, string Message) before))
        {
            string others = Others(part, subject);
            await SayAsync(subject, others.Length > 0 ? others.TrimStart() : $"Well again; before: {before.Message}", default, cleared: others.Length == 0, stop).ConfigureAwait(false);
        }
        else if (Know(subject) && Others(part, subject).Length == 0)
        {
            await SayAsync(subject, FirstAnswer, default, cleared: true, stop).ConfigureAwait(false);
        }
    }

    // What concerns no item is cleared by the supervisor when the reader starts.
    private bool Know(KitId? subject) => subject is { } item && _known.Count < MaxParts && _known.Add(item);

    private string Others(string part, KitId? subject) =>
        string.Concat(_standing.Where(s => s.Key != part && s.Value.Subject == subject).Select(s => $" Still: {s.Value.Message}"));

    private ValueTask SayAsync(KitId? subject, string message, ReadOnlyMemory<byte> raw, bool cleared, CancellationToken stop)
    {
        ValueList<byte> kept = ValueList.Create(raw.Span[..Math.Min(raw.Length, ReaderFault.MaxRaw)]);
        return sink.WriteAsync(new Sample(new ReaderFault(reader, subject, message, kept, cleared)), stop);
    }
}
