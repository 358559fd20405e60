namespace KitMesh.Sync.Journal.Format;

/// <summary>What a frame carries. The numbers are on disk and are never reused.</summary>
internal enum FrameKind : byte
{
    /// <summary>What was known of every origin when the segment began; the first frame of every segment.</summary>
    Standing = 1,

    /// <summary>A run of reports of one origin.</summary>
    Reports = 2,

    /// <summary>One report whose key stood already with other content.</summary>
    Fork = 3,

    /// <summary>Sequences of one origin that nobody holds or that are given up on purpose.</summary>
    Waived = 4,
}
