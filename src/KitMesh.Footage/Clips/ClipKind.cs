namespace KitMesh.Footage.Clips;

/// <summary>What a file's structure was recognised as.</summary>
public enum ClipKind
{
    /// <summary>Not known here: passes as it is.</summary>
    Unknown = 0,

    /// <summary>ISO base media: mp4, mov and their kin.</summary>
    IsoMedia = 1,

    /// <summary>RIFF, RF64 or BW64 wave, Broadcast Wave included.</summary>
    Wave = 2,
}
