using System.Buffers.Binary;

namespace KitMesh.Footage.Clips;

/// <summary>Where the samples of one track of an ISO base media file lie (ISO/IEC 14496-12, stsz, stsc, stco and co64).</summary>
internal sealed class SampleTable
{
    private long[] _chunks = [];
    private uint _sampleSize;
    private uint[] _sizes = [];
    private uint _samples;
    private (uint First, uint PerChunk)[] _runs = [];
    private bool _garbled;

    /// <summary>Where the first chunk lies; null when there is none.</summary>
    public long? FirstChunk => _chunks.Length > 0 ? _chunks[0] : null;

    /// <summary>Takes a box of the table; others are passed over.</summary>
    /// <param name="type">Its type.</param>
    /// <param name="body">Its body.</param>
    public void Take(uint type, ReadOnlySpan<byte> body)
    {
        if (type == ClipInspection.Tag("stco") || type == ClipInspection.Tag("co64"))
        {
            int width = type == ClipInspection.Tag("co64") ? 8 : 4;
            _chunks = new long[Count(body, 4, 8, width)];
            for (int i = 0; i < _chunks.Length; i++)
            {
                ReadOnlySpan<byte> cell = body[(8 + (i * width))..];
                _chunks[i] = width == 8 ? (long)Math.Min(BinaryPrimitives.ReadUInt64BigEndian(cell), long.MaxValue / 4) : BinaryPrimitives.ReadUInt32BigEndian(cell);
            }
        }
        else if (type == ClipInspection.Tag("stsz") && body.Length >= 12)
        {
            _sampleSize = BinaryPrimitives.ReadUInt32BigEndian(body[4..]);
            _samples = BinaryPrimitives.ReadUInt32BigEndian(body[8..]);
            _sizes = new uint[_sampleSize == 0 ? Count(body, 8, 12, 4) : 0];
            for (int i = 0; i < _sizes.Length; i++)
            {
                _sizes[i] = BinaryPrimitives.ReadUInt32BigEndian(body[(12 + (i * 4))..]);
            }
        }
        else if (type == ClipInspection.Tag("stsc"))
        {
            _runs = new (uint, uint)[Count(body, 4, 8, 12)];
            for (int i = 0; i < _runs.Length; i++)
            {
                _runs[i] = (BinaryPrimitives.ReadUInt32BigEndian(body[(8 + (i * 12))..]), BinaryPrimitives.ReadUInt32BigEndian(body[(12 + (i * 12))..]));
            }
        }
    }

    /// <summary>The byte after the last sample.</summary>
    /// <param name="end">The byte; 0 for a track without samples.</param>
    /// <returns>What is wrong with the table; null when nothing is.</returns>
    public string? End(out long end)
    {
        end = 0;
        if (_garbled)
        {
            return "a table of its index is shorter than it says";
        }

        long sample = 0;
        int run = 0;
        for (int chunk = 0; chunk < _chunks.Length; chunk++)
        {
            while (run + 1 < _runs.Length && _runs[run + 1].First <= chunk + 1)
            {
                run++;
            }

            long inChunk = Math.Min(run < _runs.Length ? _runs[run].PerChunk : 0, _samples - sample);
            long size = 0;
            if (_sampleSize > 0)
            {
                size = inChunk * _sampleSize;
            }
            else
            {
                for (long i = sample; i < sample + inChunk && i < _sizes.Length; i++)
                {
                    size += _sizes[i];
                }
            }

            sample += inChunk;
            end = Math.Max(end, _chunks[chunk] + size);
        }

        return null;
    }

    private int Count(ReadOnlySpan<byte> body, int at, int start, int width)
    {
        uint told = body.Length >= at + 4 ? BinaryPrimitives.ReadUInt32BigEndian(body[at..]) : 0;
        long fits = Math.Max(0, body.Length - start) / width;
        _garbled |= told > fits;
        return (int)Math.Min(told, fits);
    }
}
