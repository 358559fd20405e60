namespace KitMesh.Footage.Ledger;

/// <summary>One <see cref="Domain.Reports.ClipFound"/>, packed.</summary>
internal struct Sighting
{
    /// <summary>Stands for a time that the file does not tell.</summary>
    public const long Untold = long.MinValue;

    public PackedStamp Stamp;
    public long Size;
    public long RecordedTicks;
    public long LengthTicks;
    public int Clip;
    public int Visit;
    public int Path;
    public int Source;
    public int Damage;

    /// <summary>Second of the day at its start by timecode, or -1.</summary>
    public int TimecodeSeconds;
    public int NextOfClip;
    public int NextInVisit;
}
