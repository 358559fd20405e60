using KitMesh.Cli.Frame;
using KitMesh.Domain.Time;
using NodaTime;

namespace KitMesh.Cli.Running;

/// <summary>The clocks that a long-running node gets: the real ones, or those of the demo's world.</summary>
/// <param name="World">World time.</param>
/// <param name="Machine">Machine time.</param>
/// <param name="Pace">World time as a pace.</param>
/// <param name="Device">This device's own clocks.</param>
internal sealed record RunClocks(IClock World, TimeProvider Machine, TimeProvider Pace, IDeviceClock Device)
{
    /// <summary>The clocks of the field.</summary>
    public static RunClocks Real(Surroundings surroundings) => new(surroundings.World, surroundings.Machine, surroundings.Machine, surroundings.Device);
}
