using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Protocol.Reports;

/// <summary>Kind 14 to and from the wire.</summary>
internal static class ClockPairCodec
{
    public static V1.ClockPair Write(ClockPair pair)
    {
        return new V1.ClockPair
        {
            Subject = pair.Subject.Value,
            SubjectTime = ClockCodec.Write(pair.SubjectTime),
            SubjectTrust = ClockCodec.Write(pair.SubjectTrust),
            ObserverTime = ClockCodec.Write(pair.ObserverTime),
            ObserverTrust = ClockCodec.Write(pair.ObserverTrust),
            UncertaintyNanos = Nanoseconds.Of(pair.Uncertainty),
        };
    }

    public static ClockPair Read(V1.ClockPair message, FieldReader fields)
    {
        return new ClockPair(
            fields.Node(message.Subject, "subject"),
            fields.Time(message.SubjectTime, "subject time"),
            ClockCodec.Read(message.SubjectTrust),
            fields.Time(message.ObserverTime, "observer time"),
            ClockCodec.Read(message.ObserverTrust),
            Duration.FromNanoseconds(message.UncertaintyNanos));
    }
}
