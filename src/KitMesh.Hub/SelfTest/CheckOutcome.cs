namespace KitMesh.Hub.SelfTest;

/// <summary>How one check of a hub came out.</summary>
public enum CheckOutcome
{
    /// <summary>As it should be.</summary>
    Right,

    /// <summary>The hub will run, and somebody should look at it.</summary>
    Look,

    /// <summary>The hub will not run, or will not keep what it promises.</summary>
    Wrong,
}
