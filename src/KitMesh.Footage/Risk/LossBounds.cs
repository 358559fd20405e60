namespace KitMesh.Footage.Risk;

/// <summary>A chance known exactly, or between two proven bounds.</summary>
/// <param name="Lower">The chance is not below this.</param>
/// <param name="Upper">The chance is not above this.</param>
public readonly record struct LossBounds(double Lower, double Upper)
{
    /// <summary>Whether the two are one figure.</summary>
    public bool IsExact => Lower == Upper;

    /// <summary>A chance known exactly.</summary>
    /// <param name="chance">The chance.</param>
    public static LossBounds Exactly(double chance) => new(chance, chance);
}
