using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.TripFile.Keys;
using KitMesh.TripFile.Reading;
using NodaTime;

namespace KitMesh.TripFile.Sections;

/// <summary><c>copyRules:</c> become <see cref="CopyRule"/>.</summary>
internal sealed class CopyRuleSection() : Section("copyRules", "What must be true before a card may be formatted. The trip's rule is the one that no source names.")
{
    private static readonly NameKey Title = new(KitKind.CopyRule, "picture rule");
    private static readonly WholeKey Copies = new("copies", 1, 20, 2, "Verified copies. Common practice, no published source: two at the least, three are better.");
    private static readonly WholeKey Drives = new("drives", 1, 20, 2, "Different drives that hold them.");
    private static readonly WholeKey Cases = new("cases", 1, 20, 2, "Different cases that hold those drives.");
    private static readonly QuantityKey RecheckAge = new("recheckAge", UnitFamily.Span, 1, 24 * 400, 24 * 14, "A copy not proven for longer than this no longer counts. Without the key: no limit.", required: false);
    private static readonly WholeKey EveningHour = new("eveningHour", 0, 23, 21, "Civil hour by which the cards of the day should be released.", standard: 21);

    private static readonly WholeKey MediaTypes = new("mediaTypes", 0, 2, 2, "Different media (flash, spinning) among those drives. Drives of unknown medium count as none; 0 when it does not matter.", standard: 0);

    public override IReadOnlyList<TripKey> Keys { get; } = [Title, Copies, Drives, Cases, MediaTypes, RecheckAge, EveningHour];

    protected override void Read(TripEntry entry)
    {
        KitId id = entry.Get(Title);
        int copies = entry.Get(Copies);
        int drives = entry.Get(Drives);
        int cases = entry.Get(Cases);
        double? recheckHours = entry.Optional(RecheckAge);
        int evening = entry.Get(EveningHour, EveningHour.Standard);
        int media = entry.Get(MediaTypes, MediaTypes.Standard);
        if (entry.IsSound && drives > copies)
        {
            entry.Error(Drives.Name, $"{copies} copies cannot lie on {drives} drives.", "Write more copies or fewer drives.");
        }
        else if (entry.IsSound && cases > drives)
        {
            entry.Error(Cases.Name, $"{drives} drives cannot lie in {cases} cases.", "Write more drives or fewer cases.");
        }
        else if (entry.IsSound && media > drives)
        {
            entry.Error(MediaTypes.Name, $"{drives} drives cannot be of {media} media.", "Write more drives or fewer media.");
        }

        if (entry.IsSound && copies == 1)
        {
            entry.Question(Copies.Name, "A card would be formatted with a single copy left.", "One failing drive then loses the footage: is that meant?");
        }

        entry.Add(() => new CopyRule(id, copies, drives, cases, recheckHours is { } hours ? Duration.FromHours(hours) : null, evening, media));
    }
}
