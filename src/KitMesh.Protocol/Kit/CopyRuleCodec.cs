using KitMesh.Domain.Kit;
using NodaTime;

namespace KitMesh.Protocol.Kit;

/// <summary>Kit kind 16 to and from the wire.</summary>
internal static class CopyRuleCodec
{
    public static V1.CopyRule Write(CopyRule rule)
    {
        var message = new V1.CopyRule
        {
            Id = rule.Id.Value,
            Copies = rule.Copies,
            Drives = rule.Drives,
            Cases = rule.Cases,
            EveningHour = rule.EveningHour,
            MediaTypes = rule.MediaTypes,
        };
        if (rule.RecheckAge is { } recheckAgeNanos)
        {
            message.RecheckAgeNanos = Nanoseconds.Of(recheckAgeNanos);
        }

        return message;
    }

    public static CopyRule Read(V1.CopyRule message, FieldReader fields)
    {
        return new CopyRule(
            fields.Id(message.Id, "name"),
            message.Copies,
            message.Drives,
            message.Cases,
            message.HasRecheckAgeNanos ? Duration.FromNanoseconds(message.RecheckAgeNanos) : null,
            message.EveningHour,
            message.MediaTypes);
    }
}
