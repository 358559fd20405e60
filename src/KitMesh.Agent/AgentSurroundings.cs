using KitMesh.Domain.Time;
using NodaTime;

namespace KitMesh.Agent;

/// <summary>What the composition root hands to an agent: clocks, randomness and the journal's epoch.</summary>
/// <param name="MachineTime">Paces backoff, deadlines and timeouts; never accelerated.</param>
/// <param name="Pace">World time as a pace: polls, batching and the agent's own state; the demo accelerates it.</param>
/// <param name="Clock">The device's wall and monotonic clocks, which label reports; the demo's runs fast.</param>
/// <param name="DrawId">Draws 64 random bits: epochs of new journals and the seed of the backoff's jitter.</param>
/// <param name="Version">The software version that the agent reports.</param>
/// <param name="Say">Takes one line for a person (stderr in a terminal).</param>
public sealed record AgentSurroundings(
    TimeProvider MachineTime,
    TimeProvider Pace,
    IDeviceClock Clock,
    Func<ulong> DrawId,
    string Version,
    Action<string> Say)
{
    /// <summary>The shortest recheck age that the copy rules of a trip file declare; null for none. Default: never any.</summary>
    public Func<string, Duration?> RecheckAgeIn { get; init; } = static _ => null;
}
