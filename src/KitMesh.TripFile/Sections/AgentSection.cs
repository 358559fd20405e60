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

    public override IReadOnlyList<TripKey> Keys { get; } = [Node, Team, Silent];

    protected override void Read(TripEntry entry)
    {
        NodeId node = entry.Get(Node);
        KitId team = entry.Get(Team);
        double hours = entry.Get(Silent, Silent.Standard);
        entry.Add(() => new WatchedAgent(node, team, Duration.FromHours(hours)));
    }
}
