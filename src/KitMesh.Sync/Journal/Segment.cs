using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal.Format;

namespace KitMesh.Sync.Journal;

/// <summary>One segment as the journal knows it.</summary>
internal sealed class Segment(ulong number, string path)
{
    internal ulong Number { get; } = number;

    /// <summary>Its file.</summary>
    internal string Path { get; set; } = path;

    /// <summary>The compressed blocks; null while it is raw.</summary>
    internal IReadOnlyList<SealedBlock>? Blocks { get; set; }

    internal bool IsSealed => Blocks is not null;

    /// <summary>How many uncompressed bytes of it are durable.</summary>
    internal long Length { get; set; }

    /// <summary>The last sequence of each origin in it: what must be acknowledged before it may go.</summary>
    internal Dictionary<OriginId, ulong> Last { get; } = [];

    /// <summary>The machine time at which everything in it was first seen acknowledged.</summary>
    internal NodaTime.Duration? AcknowledgedAt { get; set; }

    internal void Note(in Frame frame, ulong last)
    {
        if (frame.Kind != FrameKind.Standing)
        {
            Last[frame.Origin] = Math.Max(Last.GetValueOrDefault(frame.Origin), last);
        }
    }
}
