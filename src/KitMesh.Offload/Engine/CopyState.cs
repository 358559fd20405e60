namespace KitMesh.Offload.Engine;

/// <summary>How far one copy of one file has come.</summary>
public enum CopyState
{
    /// <summary>Not begun, or stopped before it was whole.</summary>
    NotMade = 0,

    /// <summary>Written and flushed, not read back yet. No proof.</summary>
    Made = 1,

    /// <summary>Read back in this run and found equal.</summary>
    Verified = 2,

    /// <summary>Proven in an earlier run; the file is there with its size, and the card's file is the same.</summary>
    VerifiedBefore = 3,

    /// <summary>Failed; see the failure.</summary>
    Failed = 4,
}
