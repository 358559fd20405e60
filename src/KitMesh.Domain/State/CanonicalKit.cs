using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Domain.State;

/// <summary>The canonical form of declared items: the kind's number, the name, then every field in order.</summary>
internal static class CanonicalKit
{
    public static void Write(CanonicalWriter writer, KitItem item)
    {
        writer.Byte((byte)item.Kind);
        writer.Text(item.Id.Value);
        switch (item)
        {
            case Trip it: Write(writer, it); break;
            case Place it: Write(writer, it); break;
            case Team it: Name(writer, it.Home); break;
            case Person it: Name(writer, it.Team); break;
            case CalendarDay it: Write(writer, it); break;
            case Bank it: Write(writer, it); break;
            case Pack it: Write(writer, it); break;
            case Box it: Write(writer, it); break;
            case Panel it: Write(writer, it); break;
            case Load it: Write(writer, it); break;
            case Outlet it: Write(writer, it); break;
            case FootageSource it: Write(writer, it); break;
            case Card it: Write(writer, it); break;
            case Drive it: Write(writer, it); break;
            case Case it: Write(writer, it); break;
            case CopyRule it: Write(writer, it); break;
            case WatchedAgent it: Write(writer, it); break;
            case LossFigure it: Write(writer, it); break;
            case SharedDanger it: Write(writer, it); break;
            case WeatherLine it: Write(writer, it); break;
            case PanelHabit it: Write(writer, it); break;
            default: throw new ArgumentException($"{item.GetType().Name} has no canonical form.", nameof(item));
        }
    }

    private static void Name(CanonicalWriter writer, KitId id) => writer.Text(id.Value);

    private static void Day(CanonicalWriter writer, LocalDate day) => writer.Int(Period.DaysBetween(new LocalDate(1970, 1, 1), day));

    private static void Write(CanonicalWriter writer, Trip it)
    {
        Day(writer, it.FirstDay);
        Day(writer, it.LastDay);
        writer.Int(it.ZoneOffset.Seconds);
        writer.Maybe(it.HandoverDay, day => Day(writer, day));
    }

    private static void Write(CanonicalWriter writer, Place it)
    {
        writer.Number(it.Latitude.Value);
        writer.Number(it.Longitude.Value);
        writer.Number(it.Altitude.Value);
        writer.Number(it.NightTemperature.Value);
        writer.Number(it.DayTemperature.Value);
        writer.Number(it.ClearSkyShare);
        writer.Number(it.Albedo);
        writer.Many(it.Horizon, point =>
        {
            writer.Number(point.Heading.Value);
            writer.Number(point.Height.Value);
        });
    }

    private static void Write(CanonicalWriter writer, CalendarDay it)
    {
        Name(writer, it.Team);
        Day(writer, it.Day);
        writer.Byte((byte)it.DayKind);
        writer.Maybe(it.Where);
        writer.Maybe(it.PanelHours);
    }

    private static void Write(CanonicalWriter writer, Bank it)
    {
        Name(writer, it.Team);
        writer.Maybe(it.Box);
        writer.Number(it.ArrivalCharge.Value);
        writer.Number(it.Reserve.Value);
        writer.Maybe(it.MaxPanelVolts?.Value);
        writer.Maybe(it.MaxChargeAmperes?.Value);
    }

    private static void Write(CanonicalWriter writer, Pack it)
    {
        writer.Maybe(it.Bank);
        writer.Byte((byte)it.Chemistry);
        writer.Int(it.Series);
        writer.Number(it.Capacity.Value);
        writer.Maybe(it.Resistance?.Value);
        writer.Maybe(it.MinChargeTemperature?.Value);
        writer.Maybe(it.MaxChargeTemperature?.Value);
        writer.Maybe(it.MaxCellVolts?.Value);
        writer.Maybe(it.Mass?.Value);
    }

    private static void Write(CanonicalWriter writer, Box it)
    {
        writer.Number(it.Loss.Value);
        writer.Number(it.Capacity.Value);
        writer.Number(it.Heater.Value);
        writer.Number(it.HeaterOn.Value);
        writer.Number(it.HeaterOff.Value);
    }

    private static void Write(CanonicalWriter writer, Panel it)
    {
        Name(writer, it.Bank);
        writer.Number(it.Rated.Value);
        writer.Number(it.Tilt.Value);
        writer.Number(it.Heading.Value);
        writer.Number(it.TemperatureCoefficient);
        writer.Number(it.Derate);
        writer.Maybe(it.OpenCircuit?.Value);
        writer.Maybe(it.Mass?.Value);
    }

    private static void Write(CanonicalWriter writer, Load it)
    {
        Name(writer, it.Team);
        Name(writer, it.Bank);
        writer.Byte((byte)it.Class);
        writer.Int(it.Priority);
        writer.Number(it.PerDay.Value);
        writer.Number(it.Spread);
        writer.Maybe(it.Battery?.Value);
        writer.Maybe(it.Charger?.Value);
        writer.Byte((byte)it.Chemistry);
    }

    private static void Write(CanonicalWriter writer, Outlet it)
    {
        Name(writer, it.Bank);
        writer.Number(it.Limit.Value);
        writer.Number(it.Efficiency);
    }

    private static void Write(CanonicalWriter writer, FootageSource it)
    {
        Name(writer, it.Team);
        writer.Maybe(it.Load);
        writer.Number(it.GigabytesPerDay);
        writer.Number(it.Spread);
        writer.Maybe(it.CopyRule);
    }

    private static void Write(CanonicalWriter writer, Card it)
    {
        writer.Maybe(it.Source);
        writer.Int(it.Capacity.Value);
    }

    private static void Write(CanonicalWriter writer, Drive it)
    {
        writer.Maybe(it.Case);
        writer.Int(it.Capacity.Value);
        writer.Byte((byte)it.Medium);
        writer.Maybe(it.MinTemperature?.Value);
        writer.Maybe(it.MaxAltitude?.Value);
        writer.Number(it.AnnualFailureRate);
        writer.Maybe(it.Batch);
        writer.Bool(it.Intermediate);
    }

    private static void Write(CanonicalWriter writer, Case it)
    {
        writer.Maybe(it.Carrier);
        writer.Number(it.LossChance);
    }

    private static void Write(CanonicalWriter writer, CopyRule it)
    {
        writer.Int(it.Copies);
        writer.Int(it.Drives);
        writer.Int(it.Cases);
        writer.Maybe(it.RecheckAge);
        writer.Int(it.EveningHour);
        writer.Int(it.MediaTypes);
    }

    private static void Write(CanonicalWriter writer, WatchedAgent it)
    {
        Name(writer, it.Team);
        writer.Span(it.SilentAfter);
        writer.Bool(it.MayReportCopies);
        writer.Bool(it.MayRelease);
    }

    private static void Write(CanonicalWriter writer, LossFigure it)
    {
        writer.Number(it.Low);
        writer.Number(it.Best);
        writer.Number(it.High);
        writer.Text(it.Source);
    }

    private static void Write(CanonicalWriter writer, SharedDanger it)
    {
        writer.Number(it.Chance);
        writer.Many(it.Takes, taken => Name(writer, taken));
    }

    private static void Write(CanonicalWriter writer, WeatherLine it)
    {
        Name(writer, it.Place);
        Day(writer, it.Day);
        writer.Number(it.ClearSkyShare);
        writer.Maybe(it.Night?.Value);
        writer.Maybe(it.DayTime?.Value);
        writer.Number(it.Trust);
        writer.Bool(it.Said);
    }

    private static void Write(CanonicalWriter writer, PanelHabit it)
    {
        writer.Span(it.DeployTime);
        writer.Number(it.ChancePerHour);
        writer.Maybe(it.GustLimit?.Value);
        writer.Number(it.UsualGust.Value);
        writer.Number(it.SnowLoss);
    }
}
