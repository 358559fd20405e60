using KitMesh.Cli.Frame;
using KitMesh.Protocol.V1;

namespace KitMesh.Cli.Asking;

/// <summary>Draws advice and alerts for a person.</summary>
internal static class AdviceDrawing
{
    public static void Draw(DataOut output, GetAdviceResponse advice)
    {
        output.Heading($"What to do next, as of {Times.Show(advice.AsOf)}");
        if (advice.Advice.Count == 0)
        {
            output.Line("  Nothing.");
        }

        foreach (AdviceLine line in advice.Advice)
        {
            string by = line.Deadline is null ? "" : $" By {Times.Show(line.Deadline)}.";
            output.Line($"{line.Rank,3}. {line.What}{by}");
            output.Line($"     {line.Reason}{(line.Gain.Length == 0 ? "" : $" Gain: {line.Gain}")}");
        }

        output.Line();
    }

    public static void Draw(DataOut output, GetAlertsResponse alerts)
    {
        output.Heading("Alerts");
        if (alerts.Alerts.Count == 0)
        {
            output.Line("  None stands.");
        }

        foreach (AlertLine alert in alerts.Alerts)
        {
            string by = alert.RaisedBy.Length == 0 ? "" : $" (raised by {alert.RaisedBy})";
            output.Line($"  {Weight(alert.Weight)}: {alert.Subject}, {alert.Rule}, since {Times.Show(alert.Since)}{by}");
            output.Line($"     {alert.What} {alert.Do}");
        }

        output.Line();
    }

    private static string Weight(AlertWeight weight) => weight switch
    {
        AlertWeight.Danger => "DANGER",
        AlertWeight.Act => "ACT",
        _ => "know",
    };
}
