using KitMesh.Domain.Kit;
using NodaTime.Text;

namespace KitMesh.Protocol.Kit;

/// <summary>Kit kind 1 to and from the wire.</summary>
internal static class TripCodec
{
    public static V1.Trip Write(Trip trip)
    {
        var message = new V1.Trip
        {
            Id = trip.Id.Value,
            FirstDay = LocalDatePattern.Iso.Format(trip.FirstDay),
            LastDay = LocalDatePattern.Iso.Format(trip.LastDay),
            ZoneOffsetSeconds = trip.ZoneOffset.Seconds,
        };
        if (trip.HandoverDay is { } handoverDay)
        {
            message.HandoverDay = LocalDatePattern.Iso.Format(handoverDay);
        }

        return message;
    }

    public static Trip Read(V1.Trip message, FieldReader fields)
    {
        return new Trip(
            fields.Id(message.Id, "name"),
            fields.Day(message.FirstDay, "first day"),
            fields.Day(message.LastDay, "last day"),
            fields.Offset(message.ZoneOffsetSeconds, "zone offset"),
            fields.Day(message.HasHandoverDay, message.HandoverDay, "handover day"));
    }
}
