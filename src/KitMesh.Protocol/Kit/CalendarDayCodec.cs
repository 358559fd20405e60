using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Protocol.Kit;

/// <summary>Kit kind 5 to and from the wire.</summary>
internal static class CalendarDayCodec
{
    public static V1.CalendarDay Write(CalendarDay day)
    {
        var message = new V1.CalendarDay
        {
            Team = day.Team.Value,
            Day = LocalDatePattern.Iso.Format(day.Day),
            DayKind = (V1.DayKind)((int)day.DayKind + 1),
        };
        if (day.Where is { } place)
        {
            message.Where = place.Value;
        }

        if (day.PanelHours is { } panelHours)
        {
            message.PanelHours = panelHours;
        }

        return message;
    }

    public static CalendarDay? Read(V1.CalendarDay message, FieldReader fields)
    {
        KitId team = fields.Id(message.Team, "team");
        LocalDate day = fields.Day(message.Day, "day");
        KitId? where = fields.Id(message.HasWhere, message.Where, "where");
        var kind = (DayKind)((int)message.DayKind - 1);
        if (!Enum.IsDefined(kind))
        {
            fields.Blame("day kind is not known");
        }

        // The item's name is made of team and day, and a name has an end.
        if (message.Team.Length > KitId.MaxLength - 12)
        {
            fields.Blame("team is too long to name a day of it");
        }

        double? panelHours = message.HasPanelHours ? message.PanelHours : null;
        return fields.Fault is null ? new CalendarDay(team, day, kind, where, panelHours) : null;
    }
}
