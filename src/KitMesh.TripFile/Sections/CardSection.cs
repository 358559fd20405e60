using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.TripFile.Keys;
using KitMesh.TripFile.Reading;

namespace KitMesh.TripFile.Sections;

/// <summary><c>cards:</c> become <see cref="Card"/>.</summary>
internal sealed class CardSection() : Section("cards", "Cards that cameras and recorders write.")
{
    private static readonly NameKey Title = new(KitKind.Card, "card a1");
    private static readonly UseKey Source = new("source", "ridge camera", "The device that writes it. Without the key: it goes round.", false, KitKind.FootageSource);
    private static readonly QuantityKey Capacity = new("capacity", UnitFamily.Size, 1e6, 1e14, 256e9, "Its size, from the label.");

    public override IReadOnlyList<TripKey> Keys { get; } = [Title, Source, Capacity];

    protected override void Read(TripEntry entry)
    {
        KitId id = entry.Get(Title);
        KitId? source = entry.Optional(Source);
        double capacity = entry.Get(Capacity);
        entry.Add(() => new Card(id, source, new ByteCount((long)capacity)));
    }
}
