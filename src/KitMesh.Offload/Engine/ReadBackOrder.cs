namespace KitMesh.Offload.Engine;

/// <summary>When copies are read back.</summary>
public enum ReadBackOrder
{
    /// <summary>Alternating on a drive that spins, overlapping on one that does not.</summary>
    Automatic = 0,

    /// <summary>One clip is read back while the next is written: for drives that gain from two requests at once.</summary>
    Overlapping = 1,

    /// <summary>Write, read back, write: for drives with one head.</summary>
    Alternating = 2,
}
