namespace KitMesh.Storage.Segments;

/// <summary>Reads what <see cref="ColumnWriter"/> wrote.</summary>
/// <param name="bytes">The bytes, already checked.</param>
internal ref struct ColumnReader(ReadOnlyMemory<byte> bytes)
{
    private int _at;

    /// <summary>Reads a number.</summary>
    public ulong Number()
    {
        ReadOnlySpan<byte> span = bytes.Span;
        ulong value = 0;
        for (int shift = 0; shift < 64; shift += 7)
        {
            if (_at >= span.Length)
            {
                break;
            }

            byte next = span[_at++];
            value |= (ulong)(next & 0x7F) << shift;
            if (next < 0x80)
            {
                return value;
            }
        }

        throw new InvalidDataException("A stored block ends inside a number.");
    }

    /// <summary>Reads a signed number.</summary>
    public long Signed()
    {
        ulong value = Number();
        return (long)(value >> 1) ^ -(long)(value & 1);
    }

    /// <summary>Takes bytes as they are.</summary>
    public ReadOnlyMemory<byte> Raw(int length)
    {
        if (length < 0 || length > bytes.Length - _at)
        {
            throw new InvalidDataException("A stored block ends inside a report.");
        }

        ReadOnlyMemory<byte> raw = bytes.Slice(_at, length);
        _at += length;
        return raw;
    }
}
