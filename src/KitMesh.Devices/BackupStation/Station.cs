namespace KitMesh.Devices.BackupStation;

/// <summary>What the parts of one running station share.</summary>
/// <param name="Memory">What it knows of cards and drives from before.</param>
/// <param name="Faults">Takes what a person must know.</param>
/// <param name="Looks">Looks at cards and drives.</param>
/// <param name="Meter">Measures what moving bytes costs.</param>
/// <param name="Sink">Takes the facts.</param>
internal sealed record Station(StationMemory Memory, FaultLatch Faults, PatientLooks Looks, StationMeter Meter, ISampleSink Sink);
