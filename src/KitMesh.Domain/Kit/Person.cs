using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Kit;

/// <summary>Someone who carries gear.</summary>
/// <param name="Id">How the crew calls them.</param>
/// <param name="Team">Their team.</param>
public sealed record Person(KitId Id, KitId Team) : KitItem(Id)
{
    /// <inheritdoc/>
    public override KitKind Kind => KitKind.Person;
}
