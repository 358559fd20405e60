namespace KitMesh.Domain.Digest;

/// <summary>Bits into five-bit symbols, most significant first; the last symbol is filled with zeros.</summary>
internal sealed class LineBits
{
    private readonly List<byte> _symbols = [];
    private int _used;

    internal IReadOnlyList<byte> Symbols => _symbols;

    internal void Put(int value, int bits)
    {
        for (int i = bits - 1; i >= 0; i--)
        {
            if (_used % 5 == 0)
            {
                _symbols.Add(0);
            }

            _symbols[^1] |= (byte)(((value >> i) & 1) << (4 - (_used % 5)));
            _used++;
        }
    }
}
