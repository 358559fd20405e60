namespace KitMesh.Storage.Segments;

/// <summary>Writes LEB128 numbers (DWARF 5 §7.6, unsigned; zigzag for signed ones) and raw bytes into one buffer.</summary>
/// <param name="capacity">At least as many bytes as will be written.</param>
internal ref struct ColumnWriter(int capacity)
{
    /// <summary>The most bytes that one number takes.</summary>
    public const int MaxNumber = 10;

    private readonly byte[] _buffer = new byte[capacity];
    private int _length;

    /// <summary>What was written.</summary>
    public readonly ReadOnlySpan<byte> Written => _buffer.AsSpan(0, _length);

    /// <summary>Writes a number.</summary>
    public void Number(ulong value)
    {
        while (value >= 0x80)
        {
            _buffer[_length++] = (byte)(value | 0x80);
            value >>= 7;
        }

        _buffer[_length++] = (byte)value;
    }

    /// <summary>Writes a signed number; small ones of either sign are short.</summary>
    public void Signed(long value) => Number((ulong)((value << 1) ^ (value >> 63)));

    /// <summary>Writes bytes as they are.</summary>
    public void Raw(ReadOnlySpan<byte> bytes)
    {
        bytes.CopyTo(_buffer.AsSpan(_length));
        _length += bytes.Length;
    }
}
