using KitMesh.Domain.Reports;

namespace KitMesh.Domain.State;

/// <summary>The canonical form of the facts that the state keeps whole: the kind's number, then every field in order.</summary>
internal static class CanonicalBody
{
    public static void Write(CanonicalWriter writer, ReportBody body)
    {
        writer.Byte((byte)body.Kind);
        switch (body)
        {
            case BatteryReading it: Write(writer, it); break;
            case TemperatureReading it: Write(writer, it); break;
            case PanelReading it: Write(writer, it); break;
            case LoadReading it: Write(writer, it); break;
            case DriveState it: Write(writer, it); break;
            case CardSeen it: Write(writer, it); break;
            case AgentState it: Write(writer, it); break;
            case AlertChanged it: Write(writer, it); break;
            case ReaderFault it: Write(writer, it); break;
            case Note it: Write(writer, it); break;
            case KitDeclared it: Write(writer, it); break;
            default: throw new ArgumentException($"The state does not keep {body.Kind} whole.", nameof(body));
        }
    }

    private static void Write(CanonicalWriter writer, BatteryReading it)
    {
        writer.Text(it.Pack.Value);
        writer.Maybe(it.Volts?.Value);
        writer.Maybe(it.Amperes?.Value);
        writer.Maybe(it.Watts?.Value);
        writer.Maybe(it.Charge?.Value);
        writer.Many(it.Probes, probe => writer.Number(probe.Value));
        writer.Maybe(it.LowestCell?.Value);
        writer.Maybe(it.HighestCell?.Value);
        writer.Bool(it.Rested);
        writer.Byte((byte)it.Source);
    }

    private static void Write(CanonicalWriter writer, TemperatureReading it)
    {
        writer.Text(it.Subject.Value);
        writer.Text(it.Sensor);
        writer.Number(it.Temperature.Value);
        writer.Byte((byte)it.Source);
    }

    private static void Write(CanonicalWriter writer, PanelReading it)
    {
        writer.Text(it.Panel.Value);
        writer.Maybe(it.Volts?.Value);
        writer.Maybe(it.Amperes?.Value);
        writer.Maybe(it.Watts?.Value);
        writer.Maybe(it.YieldTotal?.Value);
        writer.Maybe(it.SunHours);
        writer.Byte((byte)it.Source);
    }

    private static void Write(CanonicalWriter writer, LoadReading it)
    {
        writer.Text(it.Load.Value);
        writer.Byte((byte)it.Activity);
        writer.Maybe(it.Charge?.Value);
        writer.Maybe(it.Watts?.Value);
        writer.Maybe(it.EnergyTotal?.Value);
        writer.Maybe(it.Temperature?.Value);
        writer.Byte((byte)it.Source);
    }

    private static void Write(CanonicalWriter writer, DriveState it)
    {
        writer.Text(it.Drive.Value);
        writer.Int(it.Capacity.Value);
        writer.Int(it.Free.Value);
        writer.Byte((byte)it.Health);
        writer.Maybe(it.Temperature?.Value);
        writer.Maybe(it.Identity);
        writer.Maybe(it.MoveCost?.Value);
    }

    private static void Write(CanonicalWriter writer, CardSeen it)
    {
        writer.Text(it.Card.Value);
        writer.Text(it.Insertion.Value);
        writer.Maybe(it.Source);
        writer.Int(it.Capacity.Value);
        writer.Int(it.Used.Value);
        writer.Int(it.Files);
    }

    private static void Write(CanonicalWriter writer, AgentState it)
    {
        writer.Text(it.Node.Value);
        writer.Text(it.Version);
        writer.Int(it.WakeUps);
        writer.Int(it.BytesSent);
        writer.Int(it.ReportsWaiting);
        writer.Maybe(it.Charge?.Value);
        writer.Int(it.FreeDisk.Value);
        writer.Int(it.NextExpected);
    }

    private static void Write(CanonicalWriter writer, AlertChanged it)
    {
        writer.Text(it.Rule);
        writer.Text(it.Subject.Value);
        writer.Bool(it.Raised);
        writer.Text(it.Message);
    }

    private static void Write(CanonicalWriter writer, ReaderFault it)
    {
        writer.Text(it.Reader);
        writer.Maybe(it.Subject);
        writer.Text(it.Message);
        writer.Many(it.Raw, writer.Byte);
        writer.Bool(it.Cleared);
    }

    private static void Write(CanonicalWriter writer, Note it)
    {
        writer.Text(it.Author);
        writer.Maybe(it.Subject);
        writer.Text(it.Text);
    }

    private static void Write(CanonicalWriter writer, KitDeclared it)
    {
        writer.Bool(it.Withdrawn);
        CanonicalKit.Write(writer, it.Item);
    }
}
