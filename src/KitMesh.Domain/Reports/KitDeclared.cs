using KitMesh.Domain.Kit;

namespace KitMesh.Domain.Reports;

/// <summary>One item of the trip file. A later declaration of the same kind and name replaces an earlier one.</summary>
/// <param name="Item">The item.</param>
/// <param name="Withdrawn">True when the item has left the trip file.</param>
public sealed record KitDeclared(KitItem Item, bool Withdrawn = false) : ReportBody
{
    /// <inheritdoc/>
    public override ReportKind Kind => ReportKind.KitDeclared;
}
