namespace KitMesh.Footage.Ledger;

/// <summary>What the sightings of one clip agree on.</summary>
internal struct ClipFacts
{
    public int Clip;

    /// <summary>Row of the earliest sighting in the fold's order.</summary>
    public int Sighting;

    /// <summary>Its time: a copy from before it cannot be one.</summary>
    public long FirstTicks;

    /// <summary>Bytes, when the sightings that make sense agree.</summary>
    public long Size;

    /// <summary>No sighting has a possible size, or two contradict each other: nothing can prove this clip.</summary>
    public bool SizeIsOdd;
}
