using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.TripFile.Keys;
using KitMesh.TripFile.Reading;

namespace KitMesh.TripFile.Sections;

/// <summary><c>drives:</c> become <see cref="Drive"/>.</summary>
internal sealed class DriveSection() : Section("drives", "Drives that copies go to.")
{
    private static readonly NameKey Title = new(KitKind.Drive, "drive red");
    private static readonly UseKey Case = new("case", "red case", "The case it rides in on the first day.", false, KitKind.Case);
    private static readonly QuantityKey Capacity = new("capacity", UnitFamily.Size, 1e6, 1e15, 4e12, "Its size, from the label.");

    private static readonly WordKey<DriveMedium> Medium = new(
        "medium",
        "What it stores on: flash or spinning.",
        "unknown",
        ("flash", DriveMedium.Flash),
        ("spinning", DriveMedium.Spinning),
        ("unknown", DriveMedium.Unknown));

    private static readonly QuantityKey MinTemperature = new("minTemperature", UnitFamily.Temperature, -60, 40, 0, "Least operating temperature, from the maker's sheet.", required: false);
    private static readonly QuantityKey MaxAltitude = new("maxAltitude", UnitFamily.Height, 0, 12_000, 3050, "Highest operating altitude, from the maker's sheet.", required: false);
    private static readonly NumberKey FailureRate = new("annualFailureRate", 0, 0.99, 0.015, "Chance that it fails within a year.", standard: 0.03);
    private static readonly LabelKey Batch = new("batch", "bought in may", "Drives of one batch may fail together. Without the key: bought apart.");

    private static readonly WordKey<bool> Intermediate = new(
        "intermediate",
        "Whether it is cleared again and again, such as a station's own disk. What is on it counts for no copy rule; the outlook says what may be cleared.",
        "no",
        ("yes", true),
        ("no", false));

    public override IReadOnlyList<TripKey> Keys { get; } = [Title, Case, Capacity, Medium, MinTemperature, MaxAltitude, FailureRate, Batch, Intermediate];

    protected override void Read(TripEntry entry)
    {
        KitId id = entry.Get(Title);
        KitId? inCase = entry.Optional(Case);
        double capacity = entry.Get(Capacity);
        DriveMedium medium = entry.Get(Medium, Medium.Standard);
        double? minTemperature = entry.Optional(MinTemperature);
        double? maxAltitude = entry.Optional(MaxAltitude);
        double rate = entry.Get(FailureRate, FailureRate.Standard);
        KitId? batch = entry.Optional(Batch);
        bool intermediate = entry.Get(Intermediate, Intermediate.Standard);
        entry.Add(() => new Drive(
            id,
            inCase,
            new ByteCount((long)capacity),
            medium,
            minTemperature is { } celsius ? new Celsius(celsius) : null,
            maxAltitude is { } metres ? new Metres(metres) : null,
            rate,
            batch,
            intermediate));
    }
}
