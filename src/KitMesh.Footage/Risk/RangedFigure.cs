namespace KitMesh.Footage.Risk;

/// <summary>A figure with its published range.</summary>
/// <param name="Low">Its kind end.</param>
/// <param name="Best">Its middle.</param>
/// <param name="High">Its harsh end.</param>
/// <param name="Source">Where it is from and of which date, in words.</param>
public sealed record RangedFigure(double Low, double Best, double High, string Source)
{
    /// <summary>The figure at one end.</summary>
    /// <param name="end">Which end.</param>
    public double At(LossEnd end) => end switch
    {
        LossEnd.Kind => Low,
        LossEnd.Middle => Best,
        _ => High,
    };
}
