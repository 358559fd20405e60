using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;

namespace KitMesh.Domain.State;

/// <summary>Names a declared item: kinds have name spaces of their own.</summary>
/// <param name="Kind">The kind.</param>
/// <param name="Id">The name.</param>
public readonly record struct KitRef(KitKind Kind, KitId Id) : IComparable<KitRef>
{
    /// <inheritdoc/>
    public int CompareTo(KitRef other)
    {
        int byKind = Kind.CompareTo(other.Kind);
        return byKind != 0 ? byKind : Id.CompareTo(other.Id);
    }
}
