using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Kit;

/// <summary>One thing or rule that the trip file declares. The set of kinds is closed here.</summary>
/// <param name="Id">Its name, unique within its kind.</param>
public abstract record KitItem(KitId Id)
{
    /// <summary>The kind, as numbered on the wire.</summary>
    public abstract KitKind Kind { get; }
}
