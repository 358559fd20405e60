using KitMesh.Domain.Time;

namespace KitMesh.Devices;

/// <summary>What a reader may use of its surroundings.</summary>
/// <param name="MachineTime">Paces polls and timeouts.</param>
/// <param name="Clock">The device's own clocks, to label what is read.</param>
/// <param name="StateFolder">A folder that is the reader's own, for what it must remember over a restart.</param>
/// <param name="CountWakeUp">Called each time the reader wakes to look at its device; the agent reports the count.</param>
public sealed record ReaderContext(TimeProvider MachineTime, IDeviceClock Clock, string StateFolder, Action CountWakeUp);
