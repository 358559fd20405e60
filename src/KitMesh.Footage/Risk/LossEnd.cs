namespace KitMesh.Footage.Risk;

/// <summary>Which end of every figure's range a chance is computed with.</summary>
public enum LossEnd
{
    /// <summary>All at their kind end.</summary>
    Kind = 0,

    /// <summary>All in the middle.</summary>
    Middle = 1,

    /// <summary>All at their harsh end.</summary>
    Harsh = 2,
}
