using System.Globalization;
using KitMesh.Domain;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Protocol.Reports;

/// <summary>Kind 25 to and from the wire.</summary>
internal static class DayRolledUpCodec
{
    // 1677 to 2262, as all instants of reports.
    private const long MostSeconds = long.MaxValue / 1_000_000_000;

    public static V1.DayRolledUp Write(DayRolledUp day)
    {
        var message = new V1.DayRolledUp { Item = day.Item.Value, FromUnixSeconds = day.From.ToUnixTimeSeconds(), UntilUnixSeconds = day.Until.ToUnixTimeSeconds() };
        message.Lines.AddRange(day.Lines.Select(line => new V1.DayLine
        {
            Quantity = (V1.SeriesQuantity)(int)line.Quantity,
            Sensor = line.Sensor,
            Samples = line.Samples,
            Least = line.Least,
            Mean = line.Mean,
            Greatest = line.Greatest,
            Last = line.Last,
            KnownSeconds = (long)line.Known.TotalSeconds,
        }));
        return message;
    }

    public static DayRolledUp Read(V1.DayRolledUp message, FieldReader fields) => new(
        fields.Id(message.Item, "item"),
        Instant.FromUnixTimeSeconds(Seconds(message.FromUnixSeconds, "from_unix_seconds", fields)),
        Instant.FromUnixTimeSeconds(Seconds(message.UntilUnixSeconds, "until_unix_seconds", fields)),
        message.Lines.Select(line => Read(line, fields)).ToValueList());

    private static DayLine Read(V1.DayLine line, FieldReader fields) => new(
        (SeriesQuantity)(int)line.Quantity,
        line.Sensor,
        line.Samples,
        line.Least,
        line.Mean,
        line.Greatest,
        line.Last,
        Duration.FromSeconds(Seconds(line.KnownSeconds, "known_seconds", fields)));

    private static long Seconds(long seconds, string field, FieldReader fields)
    {
        if (seconds is >= -MostSeconds and <= MostSeconds)
        {
            return seconds;
        }

        fields.Blame(string.Create(CultureInfo.InvariantCulture, $"{field} is past what a time can be"));
        return 0;
    }
}
