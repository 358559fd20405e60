namespace KitMesh.Devices.Modbus;

/// <summary>Reads an exact number of bytes from a line and keeps what came, so that a torn answer can be shown.</summary>
internal sealed class FrameReader(Stream stream, int capacity)
{
    private readonly byte[] _buffer = new byte[capacity];

    public int Length { get; private set; }

    public ReadOnlySpan<byte> Bytes => _buffer.AsSpan(0, Length);

    /// <summary>Reads until the frame has so many bytes. False when the line ended first.</summary>
    public async Task<bool> FillToAsync(int total, CancellationToken stop)
    {
        while (Length < total)
        {
            int got = await stream.ReadAsync(_buffer.AsMemory(Length, total - Length), stop).ConfigureAwait(false);
            if (got == 0)
            {
                return false;
            }

            Length += got;
        }

        return true;
    }

    public void Clear() => Length = 0;
}
