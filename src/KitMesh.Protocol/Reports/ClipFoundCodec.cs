using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Protocol.Reports;

/// <summary>Kind 6 to and from the wire.</summary>
internal static class ClipFoundCodec
{
    public static V1.ClipFound Write(ClipFound found)
    {
        var message = new V1.ClipFound
        {
            Clip = ClipHashCodec.Write(found.Clip),
            Card = found.Card.Value,
            Insertion = found.Insertion.Value,
            Path = found.Path,
            SizeBytes = found.Size.Value,
        };
        if (found.Source is { } source)
        {
            message.Source = source.Value;
        }

        if (found.Recorded is { } recordedUnixNanos)
        {
            message.RecordedUnixNanos = Nanoseconds.Of(recordedUnixNanos);
        }

        if (found.Length is { } lengthNanos)
        {
            message.LengthNanos = Nanoseconds.Of(lengthNanos);
        }

        if (found.Damage is { } damage)
        {
            message.Damage = damage;
        }

        if (found.Timecode is { } timecode)
        {
            message.TimecodeNanos = Nanoseconds.Of(timecode);
        }

        return message;
    }

    public static ClipFound Read(V1.ClipFound message, FieldReader fields)
    {
        return new ClipFound(
            fields.Clip(message.Clip, "clip"),
            fields.Id(message.Card, "card"),
            fields.Id(message.Insertion, "insertion"),
            message.Path,
            new ByteCount(message.SizeBytes),
            fields.Id(message.HasSource, message.Source, "source"),
            message.HasRecordedUnixNanos ? Nanoseconds.ToInstant(message.RecordedUnixNanos) : null,
            message.HasLengthNanos ? Duration.FromNanoseconds(message.LengthNanos) : null,
            message.HasDamage ? message.Damage : null)
        {
            Timecode = message.HasTimecodeNanos ? Duration.FromNanoseconds(message.TimecodeNanos) : null,
        };
    }
}
