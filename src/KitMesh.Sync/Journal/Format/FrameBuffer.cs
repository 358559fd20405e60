namespace KitMesh.Sync.Journal.Format;

/// <summary>Bytes that grow at the end and are used again.</summary>
internal sealed class FrameBuffer
{
    private const int KeptCapacity = 4 << 20;

    private byte[] _bytes = new byte[4096];

    internal int Length { get; private set; }

    internal ReadOnlyMemory<byte> Written => _bytes.AsMemory(0, Length);

    /// <summary>More room at the end, to be filled by the caller.</summary>
    internal Span<byte> Extend(int count)
    {
        int needed = checked(Length + count);
        if (needed > _bytes.Length)
        {
            Array.Resize(ref _bytes, Math.Max(needed, _bytes.Length * 2));
        }

        Span<byte> room = _bytes.AsSpan(Length, count);
        Length = needed;
        return room;
    }

    internal void Clear()
    {
        Length = 0;
        if (_bytes.Length > KeptCapacity)
        {
            _bytes = new byte[4096];
        }
    }
}
