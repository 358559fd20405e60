namespace KitMesh.Footage.Ledger;

/// <summary>
/// Rows of a value type in chunks that never move. Eight million copy events would be copied over and over by a list that
/// doubles, and the old and the new array would stand in memory together.
/// </summary>
/// <typeparam name="T">The row.</typeparam>
internal sealed class GrowingTable<T>
    where T : struct
{
    private const int ChunkBits = 14;
    private const int ChunkSize = 1 << ChunkBits;

    private T[][] _chunks = [];

    public int Count { get; private set; }

    public ref T this[int row] => ref _chunks[row >> ChunkBits][row & (ChunkSize - 1)];

    public int Add(in T item)
    {
        int row = Count;
        int chunk = row >> ChunkBits;
        if (chunk == _chunks.Length)
        {
            Array.Resize(ref _chunks, Math.Max(4, chunk * 2));
        }

        _chunks[chunk] ??= new T[ChunkSize];
        _chunks[chunk][row & (ChunkSize - 1)] = item;
        Count = row + 1;
        return row;
    }
}
