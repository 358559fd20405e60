namespace KitMesh.Domain.Time;

/// <summary>Reads a device's wall and monotonic clocks together. The composition root makes the real one.</summary>
public interface IDeviceClock
{
    /// <summary>How far the wall clock of this device can be believed.</summary>
    ClockTrust Trust { get; }

    /// <summary>Both clocks, read as close together as the system allows.</summary>
    DeviceTime Read();
}
