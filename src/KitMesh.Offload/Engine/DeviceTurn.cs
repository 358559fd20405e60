namespace KitMesh.Offload.Engine;

// The problem: two drives that are folders or partitions of one disk that spins. When both are written at once, the head
// jumps between them for every piece. Writing all of one and then all of the other would need a second reading of the
// card, or memory for all of it. The method: whoever writes to the disk holds its turn for as long as there is something in
// its queue, so each writes as much in a row as the shared buffers hold, and the head jumps once for that.

/// <summary>The right to move the head of one disk, which several lanes share.</summary>
internal sealed class DeviceTurn : IDisposable
{
    private readonly SemaphoreSlim _free = new(1);

    /// <summary>Waits for the turn.</summary>
    public void Enter() => _free.Wait();

    /// <summary>Gives it up.</summary>
    public void Leave() => _free.Release();

    /// <inheritdoc/>
    public void Dispose() => _free.Dispose();

    /// <summary>One turn for each disk that spins and bears more than one of the drives.</summary>
    /// <param name="disks">For each drive its disk and whether taking turns is faster there; null where the system does not tell.</param>
    /// <returns>For each drive the turn that it shares; null when it has its disk to itself.</returns>
    public static IReadOnlyList<DeviceTurn?> Among(IReadOnlyList<(string? Disk, bool Spins)> disks)
    {
        var turns = disks
            .Where(drive => drive.Disk is not null && drive.Spins)
            .GroupBy(drive => drive.Disk!)
            .Where(group => group.Count() > 1)
            .ToDictionary(group => group.Key, _ => new DeviceTurn());
        return [.. disks.Select(drive => drive.Disk is { } disk && drive.Spins ? turns.GetValueOrDefault(disk) : null)];
    }
}
