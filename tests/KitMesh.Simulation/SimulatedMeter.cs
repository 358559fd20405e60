using KitMesh.Sync.Session;

namespace KitMesh.Simulation;

/// <summary>A budget that is spent and begins anew every few seconds, until the links are healed.</summary>
internal sealed class SimulatedMeter(World world) : ILinkMeter
{
    public bool HasRoomForReadings => world.IsHealing || (int)world.Now.TotalSeconds % 4 != 0;

    public bool HasRoom => world.IsHealing || (int)world.Now.TotalSeconds % 12 != 0;
}
