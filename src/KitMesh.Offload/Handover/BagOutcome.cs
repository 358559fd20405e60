namespace KitMesh.Offload.Handover;

/// <summary>What came of making or checking a bag.</summary>
/// <param name="Files">Payload files that are in it and good.</param>
/// <param name="Bytes">Their bytes.</param>
/// <param name="Faults">What is wrong, one line a fault; empty for a valid bag.</param>
/// <param name="Stopped">True when it was stopped before the end: the folder is no bag then.</param>
public sealed record BagOutcome(int Files, long Bytes, IReadOnlyList<string> Faults, bool Stopped)
{
    /// <summary>Whether the bag is valid.</summary>
    public bool IsGood => !Stopped && Faults.Count == 0;
}
