namespace KitMesh.Sync.Journal.Format;

/// <summary>What the bytes at a place turned out to be.</summary>
internal enum FrameVerdict
{
    /// <summary>No frame, or a torn or damaged one.</summary>
    Broken,

    /// <summary>A sound frame of this version.</summary>
    Sound,

    /// <summary>A sound frame that only newer software can read. Nothing after it may be touched.</summary>
    Newer,
}
