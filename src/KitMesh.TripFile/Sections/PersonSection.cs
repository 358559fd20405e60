using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.TripFile.Keys;
using KitMesh.TripFile.Reading;

namespace KitMesh.TripFile.Sections;

/// <summary><c>people:</c> become <see cref="Person"/>.</summary>
internal sealed class PersonSection() : Section("people", "Who carries gear.")
{
    private static readonly NameKey Title = new(KitKind.Person, "ridge sound");
    private static readonly UseKey Team = new("team", "ridge team", "Their team.", true, KitKind.Team);

    public override IReadOnlyList<TripKey> Keys { get; } = [Title, Team];

    protected override void Read(TripEntry entry)
    {
        KitId id = entry.Get(Title);
        KitId team = entry.Get(Team);
        entry.Add(() => new Person(id, team));
    }
}
