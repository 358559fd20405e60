using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.TripFile.Keys;
using KitMesh.TripFile.Reading;

namespace KitMesh.TripFile.Sections;

/// <summary><c>cases:</c> become <see cref="Case"/>.</summary>
internal sealed class CaseSection() : Section("cases", "What gets lost or wet as one.")
{
    private static readonly NameKey Title = new(KitKind.Case, "red case");
    private static readonly UseKey Carrier = new("carrier", "ridge team", "The team or person who has it on the first day.", false, KitKind.Team, KitKind.Person);
    private static readonly NumberKey LossChance = new("lossChance", 0, 1, 0.01, "Chance that it is lost, soaked or crushed during the trip.", standard: 0.01);

    public override IReadOnlyList<TripKey> Keys { get; } = [Title, Carrier, LossChance];

    protected override void Read(TripEntry entry)
    {
        KitId id = entry.Get(Title);
        KitId? carrier = entry.Optional(Carrier);
        double chance = entry.Get(LossChance, LossChance.Standard);
        entry.Add(() => new Case(id, carrier, chance));
    }
}
