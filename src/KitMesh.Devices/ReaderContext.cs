using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using NodaTime;

namespace KitMesh.Devices;

/// <summary>What a reader may use of its surroundings.</summary>
/// <param name="MachineTime">Timeouts against the device, quiet periods of a stream, settle times of a disk: never accelerated.</param>
/// <param name="Pace">
/// World time: paces polls, rest times and everything else that a person would write in minutes or hours. It runs at
/// machine speed in the field; the demo accelerates it, so that a day of polls passes in a second or two.
/// </param>
/// <param name="Clock">The device's own clocks, to label what is read.</param>
/// <param name="StateFolder">A folder that is the reader's own, for what it must remember over a restart.</param>
/// <param name="CountWakeUp">Called each time the reader wakes to look at its device; the agent reports the count.</param>
public sealed record ReaderContext(TimeProvider MachineTime, TimeProvider Pace, IDeviceClock Clock, string StateFolder, Action CountWakeUp)
{
    /// <summary>The newest reading of a load that any reader of this agent took; null when there was none. Default: never any.</summary>
    public Func<KitId, LoadReading?> LoadNow { get; init; } = static _ => null;

    /// <summary>The newest reading of a pack or bank that any reader of this agent took; null when there was none. Default: never any.</summary>
    public Func<KitId, BatteryReading?> BatteryNow { get; init; } = static _ => null;

    /// <summary>
    /// The shortest recheck age that the copy rules of a trip file declare; null when they declare none or the file cannot be
    /// read. Default: never any.
    /// </summary>
    public Func<string, Duration?> RecheckAgeIn { get; init; } = static _ => null;
}
