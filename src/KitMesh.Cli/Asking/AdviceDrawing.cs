using KitMesh.Cli.Frame;
using KitMesh.Protocol.V1;
using PackCaution = KitMesh.Domain.Results.PackCaution;

namespace KitMesh.Cli.Asking;

/// <summary>Draws advice and alerts for a person: what to do first, then what stands.</summary>
internal static class AdviceDrawing
{
    public static void Draw(DataOut output, GetAdviceResponse advice, GetAlertsResponse alerts)
    {
        var clock = new CrewClock(advice.Zone);
        output.Heading($"What to do next, {clock.Heading(advice.AsOf)}");
        if (advice.Advice.Count == 0)
        {
            output.Line("  Nothing needs doing now.");
        }

        foreach (AdviceLine line in advice.Advice)
        {
            output.Paragraph($"{line.Rank}. {Sentence(line.What)}{By(line, advice, clock)}", indent: 2, hanging: 3);
            output.Paragraph($"{Sentence(PackCaution.Without(line.Reason))}{(line.Gain.Length == 0 ? "" : $" Gain: {line.Gain}.")}", indent: 5);
        }

        output.Line();
        DrawAlerts(output, alerts, clock, [.. advice.Advice.Select(line => line.What)]);
        if (advice.Advice.Any(line => line.Category is "SAFETY" or "ENERGY" or "CHARGING"))
        {
            output.Paragraph($"Caution: {PackCaution.Words}");
        }
    }

    private static void DrawAlerts(DataOut output, GetAlertsResponse alerts, CrewClock clock, HashSet<string> advised)
    {
        output.Heading("Alerts that stand");
        if (alerts.Alerts.Count == 0)
        {
            output.Line("  None.");
        }

        foreach (AlertLine alert in alerts.Alerts)
        {
            string by = alert.RaisedBy.Length == 0 ? "" : $", raised by {alert.RaisedBy}";
            output.Paragraph($"{Weight(alert.Weight)}: {alert.Subject}, since {clock.Show(alert.Since)} ({alert.Rule}{by})", indent: 2, hanging: 3);

            // What the list above tells to do needs no second telling.
            output.Paragraph($"{Sentence(alert.What)}{(alert.Do.Length == 0 || advised.Any(what => what.EndsWith(alert.Do, StringComparison.Ordinal)) ? "" : $" {alert.Do}")}", indent: 5);
        }

        output.Line();
    }

    private static string By(AdviceLine line, GetAdviceResponse advice, CrewClock clock) =>
        line.Deadline is null ? "" : line.Deadline.ToDateTime() <= advice.AsOf.ToDateTime().AddMinutes(1) ? " Now." : $" By {clock.Show(line.Deadline)}.";

    private static string Sentence(string words) =>
        words.Length == 0 || words[^1] is '.' or '!' or '?' ? words : words + ".";

    private static string Weight(AlertWeight weight) => weight switch
    {
        AlertWeight.Danger => "DANGER",
        AlertWeight.Act => "ACT SOON",
        _ => "KNOW",
    };
}
