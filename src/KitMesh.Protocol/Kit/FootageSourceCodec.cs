using KitMesh.Domain.Kit;

namespace KitMesh.Protocol.Kit;

/// <summary>Kit kind 12 to and from the wire.</summary>
internal static class FootageSourceCodec
{
    public static V1.FootageSource Write(FootageSource source)
    {
        var message = new V1.FootageSource
        {
            Id = source.Id.Value,
            Team = source.Team.Value,
            GigabytesPerDay = source.GigabytesPerDay,
            Spread = source.Spread,
        };
        if (source.Load is { } load)
        {
            message.Load = load.Value;
        }

        if (source.CopyRule is { } copyRule)
        {
            message.CopyRule = copyRule.Value;
        }

        return message;
    }

    public static FootageSource Read(V1.FootageSource message, FieldReader fields)
    {
        return new FootageSource(
            fields.Id(message.Id, "name"),
            fields.Id(message.Team, "team"),
            fields.Id(message.HasLoad, message.Load, "load"),
            message.GigabytesPerDay,
            message.Spread,
            fields.Id(message.HasCopyRule, message.CopyRule, "copy rule"));
    }
}
