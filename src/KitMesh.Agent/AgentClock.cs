using KitMesh.Domain.Time;
using NodaTime;

namespace KitMesh.Agent;

/// <summary>Stamps what the agent writes: the device's clocks and the hybrid clock, kept in step by a lock.</summary>
/// <param name="device">The device's clocks.</param>
internal sealed class AgentClock(IDeviceClock device) : IClock
{
    private readonly Lock _gate = new();
    private HybridClock _hybrid;

    /// <summary>How far the wall clock can be believed.</summary>
    public ClockTrust Trust => device.Trust;

    /// <summary>The hybrid clock as it stands, for hello.</summary>
    public HybridTime Hybrid
    {
        get
        {
            lock (_gate)
            {
                return _hybrid.Last;
            }
        }
    }

    /// <summary>Both stamps for something that happens now.</summary>
    public (HybridTime Hybrid, DeviceTime Written) Stamp()
    {
        lock (_gate)
        {
            DeviceTime now = device.Read();
            _hybrid = _hybrid.Next(now.Wall);
            return (_hybrid.Last, now);
        }
    }

    /// <summary>Takes in a peer's hybrid time; one past the drift limit is left out.</summary>
    public void Receive(HybridTime remote)
    {
        lock (_gate)
        {
            _hybrid = _hybrid.Receive(remote, device.Read().Wall, out _);
        }
    }

    /// <summary>The device's clocks.</summary>
    public DeviceTime Read() => device.Read();

    /// <summary>The wall clock, for the arrival time in the journal.</summary>
    public Instant GetCurrentInstant() => device.Read().Wall;
}
