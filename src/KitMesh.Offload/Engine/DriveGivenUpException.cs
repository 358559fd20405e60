namespace KitMesh.Offload.Engine;

/// <summary>Ends a thread whose drive answered after it had been given up.</summary>
internal sealed class DriveGivenUpException() : Exception("The drive had been given up, since it did not answer.");
