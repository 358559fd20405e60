using KitMesh.Alerts.Inputs;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Alerts.Rules.Mesh;

/// <summary>A device's wall clock is off by more than the drift limit.</summary>
/// <remarks>
/// Fires past five minutes, the limit past which the hybrid clock takes in no remote time; clears under two. A comparison over
/// a slow link is good to half its round trip only, so what counts is by how much the clock is off for certain.
/// </remarks>
public sealed class ClockWrong : IAlertRule
{
    private static readonly Duration FirePast = Duration.FromMinutes(5);
    private static readonly Duration ClearUnder = Duration.FromMinutes(2);

    /// <inheritdoc/>
    public string Name => "clock-wrong";

    /// <inheritdoc/>
    public AlertWeight Weight => AlertWeight.Know;

    /// <inheritdoc/>
    public string Summary => "A device's wall clock is more than five minutes off.";

    /// <inheritdoc/>
    public bool ClearsUnmentioned => false;

    /// <inheritdoc/>
    public IEnumerable<Finding> Judge(AlertInputs inputs, Func<KitId, bool> stands)
    {
        ArgumentNullException.ThrowIfNull(inputs);
        ArgumentNullException.ThrowIfNull(stands);
        foreach (AgentCondition agent in inputs.Agents)
        {
            if (agent.ClockAhead is not { } ahead)
            {
                continue;
            }

            var subject = KitId.Parse(agent.Node.Value);
            Duration off = ahead < Duration.Zero ? -ahead : ahead;
            Duration certainly = agent.ClockDoubt < off ? off - agent.ClockDoubt : Duration.Zero;
            yield return certainly <= (stands(subject) ? ClearUnder : FirePast)
                ? Finding.Clear(subject, $"Its clock is {off.TotalSeconds:0} s off.")
                : new Finding(
                    subject,
                    Fires: true,
                    $"The clock of {agent.Node} is {Show(off)} {(ahead > Duration.Zero ? "ahead" : "behind")}. Its reports are re-timed, so nothing is lost; times shown on the device itself are wrong.",
                    "Set the device's clock when somebody is there anyway. Cameras that take their time from it are off as well.");
        }
    }

    private static string Show(Duration off) => off switch
    {
        _ when off.TotalDays >= 730 => $"{off.TotalDays / 365.25:0} years",
        _ when off.TotalDays >= 2 => $"{off.TotalDays:0} days",
        _ when off.TotalHours >= 2 => $"{off.TotalHours:0} h",
        _ => $"{off.TotalMinutes:0} min",
    };
}
