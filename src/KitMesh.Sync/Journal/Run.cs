using KitMesh.Domain.Exchange;

namespace KitMesh.Sync.Journal;

/// <summary>Where consecutive reports of one origin stand: one stretch of one segment.</summary>
internal sealed class Run(Segment segment, long offset)
{
    /// <summary>A run is closed past this, so that reading one report back reads no more than about this much.</summary>
    internal const long MaxBytes = 256 << 10;

    internal Segment Segment { get; } = segment;

    internal long Offset { get; } = offset;

    /// <summary>The end of its last frame.</summary>
    internal long End { get; set; }

    /// <summary>Whether it is one fork's report whose sequence has lost its first; such a run does not grow.</summary>
    internal bool IsFork { get; init; }

    internal ulong First { get; set; }

    internal ulong Last { get; set; }

    internal SequenceRange Range => new(First, Last);
}
