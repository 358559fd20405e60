using KitMesh.Domain.Reports;

namespace KitMesh.Protocol.Reports;

/// <summary>Which reports go first where a link is thin.</summary>
public static class ReportUrgency
{
    /// <summary>
    /// True for all but ordinary readings and signs of life, which are many and of which the newest says most, and for what this
    /// version does not know.
    /// </summary>
    /// <param name="bytes">The encoded report.</param>
    public static bool IsUrgent(ReadOnlyMemory<byte> bytes) => BodyPeek.KindOf(bytes.Span) is not (null
        or ReportKind.Unknown
        or ReportKind.BatteryReading
        or ReportKind.TemperatureReading
        or ReportKind.PanelReading
        or ReportKind.LoadReading
        or ReportKind.AgentState);
}
