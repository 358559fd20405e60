using System.Buffers.Binary;
using System.Globalization;
using System.Text;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Footage.Clips;

// The problem: a recorder that loses power leaves a wave file whose sizes were never filled in, and a perfect copy of it
// is still broken. The traps: past 4 GiB the sizes in the header are all ones and the true ones stand in a "ds64" chunk;
// chunks are padded to even lengths; RIFF is little-endian and its tags are not. The method: walk the chunks, take the true
// size of "data", and compare with the file.
// Sources: EBU Tech 3285 (Broadcast Wave, "bext"), EBU Tech 3306 (RF64, "ds64"), ITU-R BS.2088 (BW64); field offsets of
// "bext" and "ds64" from memory of these documents.

/// <summary>RIFF, RF64 and BW64 wave files.</summary>
internal static class WaveStructure
{
    private const uint NotToldHere = 0xFFFFFFFF;
    private const int MaxChunks = 1000;

    private static readonly LocalDateTimePattern Origin = LocalDateTimePattern.CreateWithInvariantCulture("uuuu-MM-dd HH:mm:ss");

    public static ClipStructure Inspect(IClipBytes bytes)
    {
        var found = new Found();
        Span<byte> head = stackalloc byte[8];
        long at = 12;
        for (int chunk = 0; chunk < MaxChunks && at + 8 <= bytes.Length && bytes.Read(at, head) == 8; chunk++)
        {
            uint tag = BinaryPrimitives.ReadUInt32BigEndian(head);
            long size = BinaryPrimitives.ReadUInt32LittleEndian(head[4..]);
            long body = at + 8;
            if (tag == ClipInspection.Tag("data"))
            {
                size = size == NotToldHere && found.LongData >= 0 ? found.LongData : size;
                found.DataStart = body;
                found.DataSize = size;
            }
            else
            {
                found.Take(tag, bytes, body, size);
            }

            at = body + size + (size & 1);
        }

        return new ClipStructure(ClipKind.Wave, Damage(found, bytes.Length), found.Recorded, found.Length, found.Timecode);
    }

    private static string? Damage(Found found, long length)
    {
        if (found.DataStart < 0)
        {
            return "it has no sound data: the recording was cut off";
        }

        if (found.BytesPerSecond == 0)
        {
            return "it does not say its format";
        }

        if (found.DataSize == NotToldHere || (found.DataSize == 0 && length - found.DataStart > 8))
        {
            return "its length was never filled in: the recorder lost power";
        }

        long missing = found.DataStart + found.DataSize - length;
        return missing > 0 ? string.Create(CultureInfo.InvariantCulture, $"{missing} bytes of sound are missing at its end") : null;
    }

    private sealed class Found
    {
        private long _samplesPerSecond;
        private ulong? _timeReference;

        public long DataStart { get; set; } = -1;

        public long DataSize { get; set; }

        public long LongData { get; private set; } = -1;

        public long BytesPerSecond { get; private set; }

        public Instant? Recorded { get; private set; }

        public Duration? Length => BytesPerSecond > 0 && DataSize is > 0 and not NotToldHere ? Duration.FromSeconds((double)DataSize / BytesPerSecond) : null;

        // Samples since midnight, shown to the second: a frame rate is not told here.
        public string? Timecode => _timeReference is { } samples && _samplesPerSecond > 0
            ? TimeSpan.FromSeconds(samples / (ulong)_samplesPerSecond % 86_400).ToString("c", CultureInfo.InvariantCulture)
            : null;

        public void Take(uint tag, IClipBytes bytes, long body, long size)
        {
            Span<byte> chunk = stackalloc byte[348];
            int got = bytes.Read(body, chunk[..(int)Math.Min(size, chunk.Length)]);
            if (tag == ClipInspection.Tag("fmt ") && got >= 16)
            {
                _samplesPerSecond = BinaryPrimitives.ReadUInt32LittleEndian(chunk[4..]);
                BytesPerSecond = BinaryPrimitives.ReadUInt32LittleEndian(chunk[8..]);
            }
            else if (tag == ClipInspection.Tag("ds64") && got >= 16)
            {
                LongData = (long)Math.Min(BinaryPrimitives.ReadUInt64LittleEndian(chunk[8..]), long.MaxValue / 2);
            }
            else if (tag == ClipInspection.Tag("bext") && got >= 346)
            {
                string date = Encoding.ASCII.GetString(chunk.Slice(320, 10)).Replace('_', '-').Replace(':', '-').Replace('/', '-').Replace('.', '-');
                string time = Encoding.ASCII.GetString(chunk.Slice(330, 8)).Replace('_', ':').Replace('-', ':').Replace('.', ':');
                Recorded = Origin.Parse($"{date} {time}") is { Success: true } local ? local.Value.InUtc().ToInstant() : null;
                _timeReference = BinaryPrimitives.ReadUInt64LittleEndian(chunk[338..]);
            }
        }
    }
}
