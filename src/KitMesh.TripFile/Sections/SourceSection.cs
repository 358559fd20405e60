using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.TripFile.Keys;
using KitMesh.TripFile.Reading;

namespace KitMesh.TripFile.Sections;

/// <summary><c>sources:</c> become <see cref="FootageSource"/>.</summary>
internal sealed class SourceSection() : Section("sources", "Cameras and recorders that write cards.")
{
    private static readonly NameKey Title = new(KitKind.FootageSource, "ridge camera");
    private static readonly UseKey Team = new("team", "ridge team", "Whose it is.", true, KitKind.Team);
    private static readonly UseKey Load = new("load", "ridge camera", "The same device under loads. Without the key: not charged from a bank.", false, KitKind.Load);
    private static readonly QuantityKey PerDay = new("perDay", UnitFamily.SizePerDay, 0, 20_000, 120, "Decimal gigabytes on an ordinary day.");
    private static readonly NumberKey Spread = new("spread", 0, 3, 0.4, "Day-to-day standard deviation as a fraction.", standard: 0.4);
    private static readonly UseKey Rule = new("copyRule", "sound rule", "The rule its cards are under. Without the key: the trip's rule, which is the one that no source names.", false, KitKind.CopyRule);

    public override IReadOnlyList<TripKey> Keys { get; } = [Title, Team, Load, PerDay, Spread, Rule];

    protected override void Read(TripEntry entry)
    {
        KitId id = entry.Get(Title);
        KitId team = entry.Get(Team);
        KitId? load = entry.Optional(Load);
        double perDay = entry.Get(PerDay);
        double spread = entry.Get(Spread, Spread.Standard);
        KitId? rule = entry.Optional(Rule);
        entry.Add(() => new FootageSource(id, team, load, perDay, spread, rule));
    }
}
