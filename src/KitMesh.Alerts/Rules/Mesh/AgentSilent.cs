using KitMesh.Alerts.Inputs;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Domain.Time;
using NodaTime;

namespace KitMesh.Alerts.Rules.Mesh;

/// <summary>An agent was not heard for longer than the trip file allows.</summary>
public sealed class AgentSilent : IAlertRule
{
    /// <inheritdoc/>
    public string Name => "agent-silent";

    /// <inheritdoc/>
    public AlertWeight Weight => AlertWeight.Act;

    /// <inheritdoc/>
    public string Summary => "An agent was not heard for longer than the trip file allows.";

    /// <inheritdoc/>
    public bool ClearsUnmentioned => true;

    /// <inheritdoc/>
    public IEnumerable<Finding> Judge(AlertInputs inputs, Func<KitId, bool> stands)
    {
        ArgumentNullException.ThrowIfNull(inputs);
        foreach (AgentCondition agent in inputs.Agents)
        {
            var subject = KitId.Parse(agent.Node.Value);
            Duration silent = inputs.Now - (agent.LastHeard ?? agent.ExpectedSince);
            yield return silent <= agent.SilentAfter
                ? Finding.Clear(subject, "It was heard.")
                : new Finding(
                    subject,
                    Fires: true,
                    agent.LastHeard is { } last
                        ? $"{agent.Node} was last heard {silent.TotalHours:0.0} h ago ({CrewTime.ShowWithZone(last, inputs.Zone)}); it should be heard every {agent.SilentAfter.TotalHours:0.0} h. What it measured since is not known here; its guard goes on without the hub."
                        : $"{agent.Node} was never heard; it should have been since {CrewTime.ShowWithZone(agent.ExpectedSince, inputs.Zone)}.",
                    "Look whether the device has power and a link. Its reports are kept on it and come when it is back.")
                {
                    Since = agent.LastHeard is { } heard ? heard + agent.SilentAfter : agent.ExpectedSince,
                };
        }
    }
}
