using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.TripFile.Keys;
using KitMesh.TripFile.Reading;

namespace KitMesh.TripFile.Sections;

/// <summary><c>teams:</c> become <see cref="Team"/>.</summary>
internal sealed class TeamSection() : Section("teams", "People who move and live together, with gear of their own.", required: true)
{
    private static readonly NameKey Title = new(KitKind.Team, "ridge team");
    private static readonly UseKey Home = new("home", "ridge camp", "The place where it stays when the calendar does not say otherwise.", true, KitKind.Place);

    public override IReadOnlyList<TripKey> Keys { get; } = [Title, Home];

    protected override void Read(TripEntry entry)
    {
        KitId id = entry.Get(Title);
        KitId home = entry.Get(Home);
        entry.Add(() => new Team(id, home));
    }
}
