using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Kit;

/// <summary>Something that takes things together which do not ride in one case: one fall into water, one tent fire.</summary>
/// <param name="Id">Its name.</param>
/// <param name="Chance">Chance that it happens during the trip, from 0 to 1.</param>
/// <param name="Takes">What it takes: drives, cases, people, teams, with all that is in or with them.</param>
public sealed record SharedDanger(KitId Id, double Chance, ValueList<KitId> Takes) : KitItem(Id)
{
    /// <inheritdoc/>
    public override KitKind Kind => KitKind.SharedDanger;
}
