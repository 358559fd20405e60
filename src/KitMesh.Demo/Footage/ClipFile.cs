using System.Buffers.Binary;
using KitMesh.Demo.Chance;
using NodaTime;

namespace KitMesh.Demo.Footage;

/// <summary>Writes small but sound media files: MP4 for cameras, WAV for recorders. Picture and sound are random bytes.</summary>
/// <remarks>
/// Structures: ISO/IEC 14496-12 boxes ftyp, moov (mvhd version 0, one track with its sample table) and mdat; RIFF/WAVE with fmt and data chunks. Enough that
/// a reader finds when the recording began and how long it runs.
/// </remarks>
public static class ClipFile
{
    private const int SoundBytesPerSecond = 48_000 * 2 * 3;

    /// <summary>Writes an MP4.</summary>
    /// <param name="path">Where.</param>
    /// <param name="bytes">Bytes of picture.</param>
    /// <param name="recorded">When the recording began by the camera's clock.</param>
    /// <param name="seconds">How long it runs.</param>
    /// <param name="chance">Draws the bytes.</param>
    public static void WritePicture(string path, int bytes, Instant recorded, int seconds, SeededChance chance)
    {
        using FileStream file = File.Create(path);
        byte[] kind = Box("ftyp", [.. "isom"u8, 0, 0, 2, 0, .. "isommp42"u8]);
        byte[] sizing = Index(recorded, seconds, bytes, 0);
        file.Write(kind);
        file.Write(Index(recorded, seconds, bytes, kind.Length + sizing.Length + 8));
        byte[] data = new byte[bytes];
        chance.Fill(data);
        file.Write(Box("mdat", data));
    }

    /// <summary>Writes a WAV: 24 bit, 48 kHz, two tracks in name (its length follows the bytes).</summary>
    /// <param name="path">Where.</param>
    /// <param name="bytes">Bytes of sound.</param>
    /// <param name="chance">Draws the bytes.</param>
    public static void WriteSound(string path, int bytes, SeededChance chance)
    {
        byte[] data = new byte[bytes - (bytes % 6)];
        chance.Fill(data);
        byte[] head = new byte[44];
        "RIFF"u8.CopyTo(head);
        BinaryPrimitives.WriteUInt32LittleEndian(head.AsSpan(4), (uint)(36 + data.Length));
        "WAVEfmt "u8.CopyTo(head.AsSpan(8));
        BinaryPrimitives.WriteUInt32LittleEndian(head.AsSpan(16), 16);
        BinaryPrimitives.WriteUInt16LittleEndian(head.AsSpan(20), 1);
        BinaryPrimitives.WriteUInt16LittleEndian(head.AsSpan(22), 2);
        BinaryPrimitives.WriteUInt32LittleEndian(head.AsSpan(24), 48_000);
        BinaryPrimitives.WriteUInt32LittleEndian(head.AsSpan(28), SoundBytesPerSecond);
        BinaryPrimitives.WriteUInt16LittleEndian(head.AsSpan(32), 6);
        BinaryPrimitives.WriteUInt16LittleEndian(head.AsSpan(34), 24);
        "data"u8.CopyTo(head.AsSpan(36));
        BinaryPrimitives.WriteUInt32LittleEndian(head.AsSpan(40), (uint)data.Length);
        using FileStream file = File.Create(path);
        file.Write(head);
        file.Write(data);
    }

    /// <summary>The index: one track with one chunk of one sample, which begins at an offset in the file.</summary>
    private static byte[] Index(Instant recorded, int seconds, int bytes, int offset)
    {
        byte[] table =
        [
            .. Box("stsd", Words(0, 0)),
            .. Box("stts", Words(0, 1, 1, seconds * 1000)),
            .. Box("stsc", Words(0, 1, 1, 1, 1)),
            .. Box("stsz", Words(0, bytes, 1)),
            .. Box("stco", Words(0, 1, offset)),
        ];
        byte[] media = [.. Box("mdhd", Words(0, 0, 0, 1000, seconds * 1000, 0)), .. Box("minf", Box("stbl", table))];
        return Box("moov", [.. Box("mvhd", MovieHeader(recorded, seconds)), .. Box("trak", Box("mdia", media))]);
    }

    private static byte[] Words(params int[] values)
    {
        byte[] words = new byte[4 * values.Length];
        for (int i = 0; i < values.Length; i++)
        {
            BinaryPrimitives.WriteInt32BigEndian(words.AsSpan(4 * i), values[i]);
        }

        return words;
    }

    private static byte[] MovieHeader(Instant recorded, int seconds)
    {
        // Seconds since 1904-01-01, as this format counts.
        uint since1904 = (uint)((recorded - Instant.FromUtc(1904, 1, 1, 0, 0)).TotalSeconds);
        byte[] header = new byte[100];
        BinaryPrimitives.WriteUInt32BigEndian(header.AsSpan(4), since1904);
        BinaryPrimitives.WriteUInt32BigEndian(header.AsSpan(8), since1904);
        BinaryPrimitives.WriteUInt32BigEndian(header.AsSpan(12), 1000);
        BinaryPrimitives.WriteUInt32BigEndian(header.AsSpan(16), (uint)seconds * 1000);
        BinaryPrimitives.WriteUInt32BigEndian(header.AsSpan(20), 0x00010000);
        BinaryPrimitives.WriteUInt16BigEndian(header.AsSpan(24), 0x0100);
        BinaryPrimitives.WriteUInt32BigEndian(header.AsSpan(36), 0x00010000);
        BinaryPrimitives.WriteUInt32BigEndian(header.AsSpan(52), 0x00010000);
        BinaryPrimitives.WriteUInt32BigEndian(header.AsSpan(68), 0x40000000);
        BinaryPrimitives.WriteUInt32BigEndian(header.AsSpan(96), 1);
        return header;
    }

    private static byte[] Box(string type, ReadOnlySpan<byte> content)
    {
        byte[] box = new byte[8 + content.Length];
        BinaryPrimitives.WriteUInt32BigEndian(box, (uint)box.Length);
        for (int i = 0; i < 4; i++)
        {
            box[4 + i] = (byte)type[i];
        }

        content.CopyTo(box.AsSpan(8));
        return box;
    }
}
