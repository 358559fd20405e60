namespace KitMesh.Footage.Ledger;

/// <summary>
/// Rows of a value type in chunks that never move, once they are whole. Eight million copy events would be copied over and
/// over by a list that doubles, and the old and the new array would stand in memory together. Only the first chunk grows,
/// because a small ledger is built again each time that clocks move.
/// </summary>
/// <typeparam name="T">The row.</typeparam>
internal sealed class GrowingTable<T>
    where T : struct
{
    private const int ChunkBits = 14;
    private const int ChunkSize = 1 << ChunkBits;
    private const int LeastRows = 64;

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

        _chunks[chunk] ??= new T[chunk == 0 ? LeastRows : ChunkSize];
        if (chunk == 0 && row == _chunks[0].Length)
        {
            Array.Resize(ref _chunks[0], row * 2);
        }

        _chunks[chunk][row & (ChunkSize - 1)] = item;
        Count = row + 1;
        return row;
    }
}
