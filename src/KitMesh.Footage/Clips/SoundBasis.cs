namespace KitMesh.Footage.Clips;

/// <summary>How sound was matched with picture, surest first.</summary>
public enum SoundBasis
{
    /// <summary>Both have timecode.</summary>
    Timecode = 0,

    /// <summary>By clock, corrected by what recordings with timecode taught of the two clocks.</summary>
    LearntClock = 1,

    /// <summary>By clock as it is.</summary>
    Clock = 2,
}
