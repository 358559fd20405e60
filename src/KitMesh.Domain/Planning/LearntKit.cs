namespace KitMesh.Domain.Planning;

/// <summary>What trips taught of kit: the evidence by trip, and what follows from it.</summary>
/// <param name="Evidence">By trip.</param>
/// <param name="Posteriors">By thing.</param>
/// <param name="Kinds">By kind.</param>
public sealed record LearntKit(ValueList<TripEvidence> Evidence, ValueList<KitPosterior> Posteriors, ValueList<KindPosterior> Kinds)
{
    /// <summary>Nothing was learnt yet.</summary>
    public static readonly LearntKit Nothing = new([], [], []);
}
