using System.Buffers.Binary;
using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal.Format;

namespace KitMesh.Sync.Journal;

/// <summary>What has been gathered of one origin for the next write.</summary>
/// <remarks>
/// Reports nearly always come in ascending order, so that "is it there already?" is one comparison. Only when a sequence
/// comes that is not past the highest one are the contents worked out, and from then on kept.
/// </remarks>
internal sealed class StagedOrigin
{
    private readonly List<StagedFrame> _frames = [];
    private Dictionary<ulong, Sha256Hash>? _contents;

    /// <summary>The highest sequence gathered; 0 for none.</summary>
    internal ulong Highest { get; private set; }

    /// <summary>A frame of this origin was begun.</summary>
    internal void Note(StagedFrame frame) => _frames.Add(frame);

    /// <summary>A report was put into a frame of this origin.</summary>
    internal void Note(in RawReport report)
    {
        Highest = Math.Max(Highest, report.Key.Sequence);
        _contents?.TryAdd(report.Key.Sequence, Sha256Hash.Of(report.Bytes.Span));
    }

    /// <summary>The content of a sequence that was gathered.</summary>
    internal bool TryFind(ulong sequence, out Sha256Hash content)
    {
        content = default;
        return sequence <= Highest && (_contents ??= WorkOut()).TryGetValue(sequence, out content);
    }

    private Dictionary<ulong, Sha256Hash> WorkOut()
    {
        var contents = new Dictionary<ulong, Sha256Hash>();
        foreach (StagedFrame frame in _frames)
        {
            ReadOnlySpan<byte> rest = frame.Payload.Written.Span;
            for (ulong sequence = frame.First; sequence < frame.First + frame.Count; sequence++)
            {
                int length = BinaryPrimitives.ReadInt32LittleEndian(rest);
                contents.TryAdd(sequence, Sha256Hash.Of(rest.Slice(sizeof(int), length)));
                rest = rest[(sizeof(int) + length)..];
            }
        }

        return contents;
    }
}
