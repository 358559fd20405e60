namespace KitMesh.Domain.Digest;

/// <summary>Five-bit symbols back into numbers. Running past the end is remembered, never thrown.</summary>
internal sealed class LineBitReader(byte[] symbols)
{
    private int _used;

    /// <summary>True when more was asked for than there is.</summary>
    internal bool RanOut { get; private set; }

    /// <summary>True when nothing but the zeros that fill the last symbol is left.</summary>
    internal bool AtEnd => !RanOut && (symbols.Length * 5) - _used < 5 && RestIsZero();

    internal int Take(int bits)
    {
        int value = 0;
        for (int i = 0; i < bits; i++)
        {
            value = (value << 1) | Bit(_used + i);
        }

        _used += bits;
        return value;
    }

    private int Bit(int at)
    {
        if (at < symbols.Length * 5)
        {
            return (symbols[at / 5] >> (4 - (at % 5))) & 1;
        }

        RanOut = true;
        return 0;
    }

    private bool RestIsZero()
    {
        for (int at = _used; at < symbols.Length * 5; at++)
        {
            if (Bit(at) != 0)
            {
                return false;
            }
        }

        return true;
    }
}
