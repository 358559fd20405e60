namespace KitMesh.Models.Battery;

/// <summary>Whether packs may be joined in parallel.</summary>
public enum ParallelVerdict
{
    /// <summary>Differences and currents stay within the stated limits. Fuses, polarity and the makers' rules still decide.</summary>
    WithinLimits = 0,

    /// <summary>Do not join: bring the packs to the same voltage first, one by one, on their own chargers.</summary>
    DoNotJoin = 1,
}
