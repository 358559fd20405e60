using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.State;
using NodaTime;

namespace KitMesh.Hub.Views;

/// <summary>How old what a hub knows of a team is.</summary>
/// <param name="Team">The team.</param>
/// <param name="Node">Its agent that was heard last; null when none was.</param>
/// <param name="LastHeard">When that agent's newest report was written; null when none was heard.</param>
/// <param name="Age">How long ago that was, never negative: a clock ahead is no news from the future.</param>
internal sealed record TeamNews(KitId Team, NodeId? Node, Instant? LastHeard, Duration? Age)
{
    /// <summary>The news of every declared team, by name. A team is heard through the agents that the trip declares for it.</summary>
    public static IReadOnlyList<TeamNews> Of(TripState state, Instant now) =>
        [.. state.KitOf<Team>().OrderBy(team => team.Id).Select(team => Of(state, team.Id, now))];

    /// <summary>The news of one team.</summary>
    public static TeamNews Of(TripState state, KitId team, Instant now)
    {
        (NodeId Node, Instant At)? last = null;
        foreach (WatchedAgent agent in state.KitOf<WatchedAgent>().Where(agent => agent.Team == team))
        {
            if (state.Nodes.TryGetValue(agent.Node, out NodeSeen? seen) && (last is null || seen.LastHeard > last.Value.At))
            {
                last = (agent.Node, seen.LastHeard);
            }
        }

        return last is { } heard
            ? new TeamNews(team, heard.Node, heard.At, Duration.Max(Duration.Zero, now - heard.At))
            : new TeamNews(team, null, null, null);
    }
}
