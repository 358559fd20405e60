using System.Buffers.Binary;
using System.IO.Hashing;
using KitMesh.Domain.Reports;

namespace KitMesh.Offload.Hashing;

// The problem: after a kill at nine tenths of a 1 TB card, what is already safe must be told from what is not, without
// reading the card for hours again. The trap: cameras reuse names, a camera with a dead clock repeats its times, and
// cards cut long takes into pieces of one size, so name, size and time together do not name a recording.
// The method: beside them, a hash over three samples of the bytes. Sensor noise makes every frame of every recording
// differ, so two recordings that agree in all of these do not occur. A copy counts as this file's only when all agree;
// when one differs the file is read and hashed whole.

/// <summary>XXH3-128 over the size and three samples of a file: its first, middle and last 64 KiB.</summary>
internal sealed class SampledPrint
{
    /// <summary>Bytes of one sample.</summary>
    public const int SampleSize = 64 * 1024;

    private readonly XxHash128 _hash = new();
    private readonly byte[] _samples = new byte[3 * SampleSize];
    private readonly long[] _starts = new long[3];
    private readonly int[] _lengths = new int[3];
    private long _size;

    /// <summary>Starts on a file of a size.</summary>
    /// <param name="size">Bytes of the file.</param>
    public void Begin(long size)
    {
        _size = size;
        int length = (int)Math.Min(size, SampleSize);
        _starts[0] = 0;
        _starts[1] = Math.Max(0, (size / 2) - (SampleSize / 2));
        _starts[2] = Math.Max(0, size - SampleSize);
        Array.Fill(_lengths, length);
    }

    /// <summary>Where the samples lie, for one who reads only them.</summary>
    public IEnumerable<(long Start, int Length)> Ranges => _starts.Zip(_lengths);

    /// <summary>Takes what it needs out of a piece of the file.</summary>
    /// <param name="offset">Where the piece starts.</param>
    /// <param name="bytes">The piece.</param>
    public void Observe(long offset, ReadOnlySpan<byte> bytes)
    {
        for (int i = 0; i < _starts.Length; i++)
        {
            long from = Math.Max(offset, _starts[i]);
            long to = Math.Min(offset + bytes.Length, _starts[i] + _lengths[i]);
            if (from < to)
            {
                bytes[(int)(from - offset)..(int)(to - offset)].CopyTo(_samples.AsSpan((i * SampleSize) + (int)(from - _starts[i])));
            }
        }
    }

    /// <summary>The print of a file that lies in memory whole; what was observed is forgotten.</summary>
    /// <param name="bytes">The file.</param>
    public ClipHash Of(ReadOnlySpan<byte> bytes)
    {
        Begin(bytes.Length);
        AppendSize();
        for (int i = 0; i < _lengths.Length; i++)
        {
            _hash.Append(bytes.Slice((int)_starts[i], _lengths[i]));
        }

        return Done();
    }

    /// <summary>The print of what was observed.</summary>
    public ClipHash Finish()
    {
        AppendSize();
        for (int i = 0; i < _lengths.Length; i++)
        {
            _hash.Append(_samples.AsSpan(i * SampleSize, _lengths[i]));
        }

        return Done();
    }

    private void AppendSize()
    {
        Span<byte> size = stackalloc byte[8];
        BinaryPrimitives.WriteInt64BigEndian(size, _size);
        _hash.Append(size);
    }

    private ClipHash Done()
    {
        UInt128 value = _hash.GetCurrentHashAsUInt128();
        _hash.Reset();
        return new ClipHash(value);
    }
}
