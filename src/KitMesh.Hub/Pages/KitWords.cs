using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.State;
using KitMesh.Hub.Links;
using KitMesh.Hub.Views;
using NodaTime;

namespace KitMesh.Hub.Pages;

/// <summary>What the merged state says of every thing, in words.</summary>
internal static class KitWords
{
    private const string Unsaid = "not said";

    /// <summary>The page "Kit".</summary>
    /// <param name="state">The merged state.</param>
    /// <param name="now">World time.</param>
    /// <param name="links">The links of this hub.</param>
    /// <param name="node">This hub.</param>
    public static KitModel Of(TripState state, Instant now, LinkBook links, NodeId node)
    {
        PageHead head = PageHeads.Of(state, now);
        return new KitModel(
            head,
            [.. state.Nodes.Select(node => Node(node.Key, node.Value, state.Agents.GetValueOrDefault(node.Key)?.Body, head))],
            [.. state.Batteries.Values.Select(reading => BatteryRow(reading, now))],
            [.. state.Loads.Values.Select(reading => Row(reading.Body.Load.Value, Load(reading.Body), reading.Time, now))],
            [.. state.Temperatures.Values.Select(reading => Row(reading.Body.Subject.Value, $"{Believed(reading.Body.Temperature)} ({reading.Body.Sensor})", reading.Time, now))],
            [.. state.Panels.Values.Select(reading => Row(reading.Body.Panel.Value, Panel(reading.Body), reading.Time, now))],
            [.. state.Placements.Select(history => Place(history.Key, history.Value[^1], head.Zone))],
            [.. state.StandingFaults.Select(fault => Row($"{fault.Key.Node}, {fault.Key.Reader}", fault.Value.Body.Message, fault.Value.Time, now))],
            LinkWords.Of(links, node, state, head),
            [.. TeamNews.Of(state, now).Select(Team)]);
    }

    /// <summary>The newest reading of a pack or bank.</summary>
    public static ReadingRow BatteryRow(Stamped<BatteryReading> reading, Instant now) => Row(reading.Body.Pack.Value, Battery(reading.Body), reading.Time, now);

    private static NodeRow Node(NodeId name, NodeSeen seen, AgentState? agent, PageHead head) => new(
        name.Value,
        PageText.Moment(seen.LastHeard, head.Zone),
        PageText.Age(head.AsOf - seen.LastHeard),
        PageText.ClockWords(seen),
        agent?.Charge?.ToString() ?? Unsaid,
        agent is null ? Unsaid : PageText.Count(agent.ReportsWaiting, "report"),
        agent is null ? Unsaid : agent.FreeDisk.ToString());

    private static ReadingRow Team(TeamNews news) => new(
        news.Team.Value,
        news.Node is { } heard ? $"last heard through {heard}" : "nothing heard yet from an agent of its own",
        news.Age is { } age ? PageText.Age(age) : "never");

    private static ReadingRow Row(string name, string words, Instant at, Instant now) => new(name, PageText.Say(words), PageText.Age(now - at));

    private static string Battery(BatteryReading reading)
    {
        List<string> words = [];
        Add(words, reading.Volts, reading.Rested ? "{0} at rest" : "{0}");
        Add(words, reading.Amperes);
        Add(words, reading.Watts);
        Add(words, reading.Charge, "{0} by its own count");
        if (reading.ColdestProbe is { } coldest)
        {
            words.Add(reading.WarmestProbe is { } warmest && warmest != coldest ? $"{coldest} to {warmest}" : $"{coldest}");
        }
        else
        {
            words.Add("no believable thermometer: do not charge on this alone");
        }

        return Sentence(words, reading.Source);
    }

    private static string Load(LoadReading reading)
    {
        List<string> words =
        [
            reading.Activity switch
            {
                ChargeActivity.Unknown => "does not say what it does",
                ChargeActivity.Charging => "charging",
                ChargeActivity.Discharging => "running from its battery",
                ChargeActivity.Full => "full",
                ChargeActivity.PluggedNotCharging => "plugged in and not charging",
                _ => throw new ArgumentOutOfRangeException(nameof(reading), reading.Activity, "There is no such activity."),
            },
        ];
        Add(words, reading.Charge);
        Add(words, reading.Watts);
        Add(words, reading.Temperature);
        return Sentence(words, reading.Source);
    }

    private static string Panel(PanelReading reading)
    {
        List<string> words = [];
        Add(words, reading.Volts);
        Add(words, reading.Amperes);
        Add(words, reading.Watts);
        Add(words, reading.YieldTotal, "{0} in all");
        if (reading.SunHours is { } hours)
        {
            words.Add($"{PageText.Tenths(hours)} hours in the sun");
        }

        return Sentence(words, reading.Source);
    }

    private static string Believed(Celsius temperature) => temperature.IsPhysical ? temperature.ToString() : $"{temperature}, which cannot be";

    private static string Sentence(List<string> words, ReadingSource source) =>
        (words.Count == 0 ? "says nothing" : string.Join(", ", words)) + (source == ReadingSource.Measured ? "" : $"; {PageText.SourceWord(source)}");

    private static void Add<T>(List<string> words, T? value, string form = "{0}")
        where T : struct
    {
        if (value is { } known)
        {
            words.Add(form.Replace("{0}", known.ToString(), StringComparison.Ordinal));
        }
    }

    private static PlaceRow Place(KitId thing, Placement placement, Offset zone) => new(
        thing.Value,
        placement.Into?.Value ?? "stands alone",
        PageText.Moment(placement.Since, zone),
        placement.Author);
}
