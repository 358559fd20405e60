using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.TripFile.Keys;
using KitMesh.TripFile.Reading;

namespace KitMesh.TripFile.Sections;

/// <summary><c>places:</c> become <see cref="Place"/>.</summary>
internal sealed class PlaceSection() : Section("places", "Where teams stay, with what the sun and the cold do there.", required: true)
{
    private static readonly NameKey Title = new(KitKind.Place, "base camp");
    private static readonly NumberKey Latitude = new("latitude", -90, 90, 42.1, "Degrees, north positive.");
    private static readonly NumberKey Longitude = new("longitude", -180, 180, 78.4, "Degrees, east positive.");
    private static readonly QuantityKey Altitude = new("altitude", UnitFamily.Height, -450, 8850, 3900, "Height above the sea.");
    private static readonly QuantityKey Night = new("night", UnitFamily.Temperature, -70, 45, -28, "Typical lowest temperature of a day in this season.");
    private static readonly QuantityKey Day = new("day", UnitFamily.Temperature, -60, 55, -6, "Typical highest temperature of a day in this season.");
    private static readonly NumberKey ClearSkyShare = new("clearSkyShare", 0, 1, 0.65, "Share of the clear-sky energy that arrives on an average day.", standard: 0.6);
    private static readonly NumberKey Albedo = new("albedo", 0, 1, 0.7, "Share of light that the ground throws back; fresh snow is about 0.75.", standard: 0.2);
    private static readonly HorizonKey Horizon = new("horizon", "The skyline as pairs of heading and height in degrees. Without the key: flat.");

    public override IReadOnlyList<TripKey> Keys { get; } = [Title, Latitude, Longitude, Altitude, Night, Day, ClearSkyShare, Albedo, Horizon];

    protected override void Read(TripEntry entry)
    {
        KitId id = entry.Get(Title);
        double latitude = entry.Get(Latitude);
        double longitude = entry.Get(Longitude);
        double altitude = entry.Get(Altitude);
        double night = entry.Get(Night);
        double day = entry.Get(Day);
        double share = entry.Get(ClearSkyShare, ClearSkyShare.Standard);
        double albedo = entry.Get(Albedo, Albedo.Standard);
        ValueList<HorizonPoint> horizon = entry.Get(Horizon, ValueList<HorizonPoint>.Empty);
        if (entry.IsSound && night > day)
        {
            entry.Error(Night.Name, "The night would be warmer than the day.", "Exchange night and day, or look for a lost minus.");
        }

        entry.Add(() => new Place(
            id,
            new Degrees(latitude),
            new Degrees(longitude),
            new Metres(altitude),
            new Celsius(night),
            new Celsius(day),
            share,
            albedo,
            horizon));
    }
}
