using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.TripFile.Keys;
using KitMesh.TripFile.Reading;
using NodaTime;

namespace KitMesh.TripFile.Sections;

/// <summary><c>agents:</c> become <see cref="WatchedAgent"/>.</summary>
internal sealed class AgentSection() : Section("agents", "Agents that the trip expects to hear from.")
{
    private static readonly NodeKey Node = new("node", "ridge-power", "The node name in its agent file.");
    private static readonly UseKey Team = new("team", "ridge team", "The team it travels with.", true, KitKind.Team);
    private static readonly QuantityKey Silent = new("silentAfter", UnitFamily.Span, 1.0 / 60, 24 * 60, 6, "It counts as silent when not heard for longer.", standard: 24);

    private static readonly WordKey<bool> Copies = new(
        "mayReportCopies",
        "Whether its word about copies counts. As soon as one agent has yes, only theirs counts; what others report is kept and shown.",
        "no",
        ("yes", true),
        ("no", false));

    private static readonly WordKey<bool> Release = new(
        "mayRelease",
        "Whether it may release cards against the copy rule. As soon as one agent has yes, only they may.",
        "no",
        ("yes", true),
        ("no", false));

    public override IReadOnlyList<TripKey> Keys { get; } = [Node, Team, Silent, Copies, Release];

    protected override void Read(TripEntry entry)
    {
        NodeId node = entry.Get(Node);
        KitId team = entry.Get(Team);
        double hours = entry.Get(Silent, Silent.Standard);
        bool copies = entry.Get(Copies, Copies.Standard);
        bool release = entry.Get(Release, Release.Standard);
        entry.Add(() => new WatchedAgent(node, team, Duration.FromHours(hours), copies, release));
    }
}
