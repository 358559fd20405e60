using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Protocol.Kit;

/// <summary>Kit kind 20 to and from the wire.</summary>
internal static class WeatherLineCodec
{
    public static V1.WeatherLine Write(WeatherLine line)
    {
        var message = new V1.WeatherLine
        {
            Place = line.Place.Value,
            Day = LocalDatePattern.Iso.Format(line.Day),
            ClearSkyShare = line.ClearSkyShare,
            Trust = line.Trust,
            Said = line.Said,
        };
        if (line.Night is { } night)
        {
            message.NightCelsius = night.Value;
        }

        if (line.DayTime is { } dayTime)
        {
            message.DayCelsius = dayTime.Value;
        }

        return message;
    }

    public static WeatherLine? Read(V1.WeatherLine message, FieldReader fields)
    {
        KitId place = fields.Id(message.Place, "place");
        LocalDate day = fields.Day(message.Day, "day");

        // The item's name is made of place and day, and a name has an end.
        if (message.Place.Length > WeatherLine.MaxPlaceLength)
        {
            fields.Blame("place is too long to name a day there");
        }

        Celsius? night = message.HasNightCelsius ? new Celsius(message.NightCelsius) : null;
        Celsius? dayTime = message.HasDayCelsius ? new Celsius(message.DayCelsius) : null;
        return fields.Fault is null ? new WeatherLine(place, day, message.ClearSkyShare, night, dayTime, message.Trust, message.Said) : null;
    }
}
