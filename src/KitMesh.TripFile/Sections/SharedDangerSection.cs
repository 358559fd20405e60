using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.TripFile.Keys;
using KitMesh.TripFile.Reading;

namespace KitMesh.TripFile.Sections;

/// <summary><c>sharedDangers:</c> become <see cref="SharedDanger"/>.</summary>
internal sealed class SharedDangerSection() : Section("sharedDangers", "What could take things together that do not ride in one case: one fall into water, one tent fire.")
{
    private static readonly NameKey Title = new(KitKind.SharedDanger, "river crossing");
    private static readonly NumberKey Chance = new("chance", 0, 1, 0.005, "Chance that it happens during the trip. There is no published figure: your own judgement.");

    private static readonly UsesKey Takes = new(
        "takes",
        1,
        "red case, blue case",
        "What it takes, with all that is in it or with them.",
        KitKind.Case,
        KitKind.Drive,
        KitKind.Person,
        KitKind.Team);

    public override IReadOnlyList<TripKey> Keys { get; } = [Title, Chance, Takes];

    protected override void Read(TripEntry entry)
    {
        KitId id = entry.Get(Title);
        double chance = entry.Get(Chance);
        ValueList<KitId> takes = entry.Get(Takes, ValueList<KitId>.Empty);
        entry.Add(() => new SharedDanger(id, chance, takes));
    }
}
