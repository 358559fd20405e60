using KitMesh.Domain.Time;
using NodaTime;

namespace KitMesh.Hub;

/// <summary>The clocks of a hub. They are different things and never mixed.</summary>
/// <param name="World">World time: what outlooks and alerts are computed for; a demo accelerates it.</param>
/// <param name="Machine">Machine time: deadlines and timeouts.</param>
/// <param name="Device">The wall and monotonic clock that label the hub's own reports.</param>
public sealed record HubClocks(IClock World, TimeProvider Machine, IDeviceClock Device);
