using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;

namespace KitMesh.Protocol.Kit;

/// <summary>Kit kind 2 to and from the wire.</summary>
internal static class PlaceCodec
{
    public static V1.Place Write(Place place)
    {
        var message = new V1.Place
        {
            Id = place.Id.Value,
            LatitudeDegrees = place.Latitude.Value,
            LongitudeDegrees = place.Longitude.Value,
            AltitudeMetres = place.Altitude.Value,
            NightCelsius = place.NightTemperature.Value,
            DayCelsius = place.DayTemperature.Value,
            ClearSkyShare = place.ClearSkyShare,
            Albedo = place.Albedo,
        };
        message.Horizon.AddRange(place.Horizon.Select(point => new V1.HorizonPoint { HeadingDegrees = point.Heading.Value, HeightDegrees = point.Height.Value }));

        return message;
    }

    public static Place Read(V1.Place message, FieldReader fields)
    {
        return new Place(
            fields.Id(message.Id, "name"),
            new Degrees(message.LatitudeDegrees),
            new Degrees(message.LongitudeDegrees),
            new Metres(message.AltitudeMetres),
            new Celsius(message.NightCelsius),
            new Celsius(message.DayCelsius),
            message.ClearSkyShare,
            message.Albedo,
            message.Horizon.Select(point => new HorizonPoint(new Degrees(point.HeadingDegrees), new Degrees(point.HeightDegrees))).ToValueList());
    }
}
