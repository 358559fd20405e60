using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Kit;

/// <summary>People who move and live together, with gear of their own.</summary>
/// <param name="Id">Its name.</param>
/// <param name="Home">The place where it stays when the calendar does not say otherwise.</param>
public sealed record Team(KitId Id, KitId Home) : KitItem(Id)
{
    /// <inheritdoc/>
    public override KitKind Kind => KitKind.Team;
}
