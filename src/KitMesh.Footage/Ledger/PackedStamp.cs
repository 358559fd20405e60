namespace KitMesh.Footage.Ledger;

/// <summary>When and by whom a fact was written: the fold's order, packed.</summary>
/// <param name="Ticks">Re-timed instant in Unix ticks of 100 ns; a long of nanoseconds would overflow on a mad clock.</param>
/// <param name="Sequence">Sequence in the origin's journal.</param>
/// <param name="Origin">The origin's number in the ledger's table.</param>
internal readonly record struct PackedStamp(long Ticks, ulong Sequence, int Origin);
