using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using NodaTime;

namespace KitMesh.Protocol.Kit;

/// <summary>Kit kind 21 to and from the wire.</summary>
internal static class PanelHabitCodec
{
    public static V1.PanelHabit Write(PanelHabit habit)
    {
        var message = new V1.PanelHabit
        {
            Id = habit.Id.Value,
            DeploySeconds = (long)habit.DeployTime.TotalSeconds,
            ChancePerHour = habit.ChancePerHour,
            UsualGustMetresPerSecond = habit.UsualGust.Value,
            SnowLoss = habit.SnowLoss,
        };
        if (habit.GustLimit is { } limit)
        {
            message.GustLimitMetresPerSecond = limit.Value;
        }

        return message;
    }

    public static PanelHabit? Read(V1.PanelHabit message, FieldReader fields)
    {
        if (message.DeploySeconds is < 0 or > 86_400)
        {
            fields.Blame("the time to set panels out is not within a day");
        }

        Domain.Reports.KitId id = fields.Id(message.Id, "name");
        return fields.Fault is not null ? null : new PanelHabit(
            id,
            Duration.FromSeconds(message.DeploySeconds),
            message.ChancePerHour,
            message.HasGustLimitMetresPerSecond ? new MetresPerSecond(message.GustLimitMetresPerSecond) : null,
            new MetresPerSecond(message.UsualGustMetresPerSecond),
            message.SnowLoss);
    }
}
