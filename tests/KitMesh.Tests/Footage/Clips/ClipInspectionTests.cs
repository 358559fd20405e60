using System.Buffers.Binary;
using System.Text;
using KitMesh.Footage.Clips;
using NodaTime;

namespace KitMesh.Tests.Footage.Clips;

/// <summary>Files built box by box after ISO/IEC 14496-12 and EBU Tech 3285 and 3306, whole and broken.</summary>
public sealed class ClipInspectionTests
{
    [Fact]
    public void IsoMedia_Whole_TellsStartLengthAndTimecode()
    {
        ClipStructure clip = Look("a.mov", Movie(indexFirst: false));

        Assert.Equal(ClipKind.IsoMedia, clip.Kind);
        Assert.Null(clip.Damage);
        Assert.Equal(Instant.FromUtc(2026, 2, 11, 16, 0), clip.Recorded);
        Assert.Equal(Duration.FromSeconds(90), clip.Length);
        Assert.Equal("10:20:30:05", clip.Timecode);
    }

    [Fact]
    public void IsoMedia_CutAtAnyByte_IsNamedAsDamaged()
    {
        foreach (bool first in new[] { true, false })
        {
            byte[] whole = Movie(first);
            Assert.Null(Look("a.mp4", whole).Damage);
            for (int length = 0; length < whole.Length; length++)
            {
                Assert.True(Look("a.mp4", whole[..length]).Damage is not null, $"index first: {first}, cut at {length} of {whole.Length}");
            }
        }
    }

    [Fact]
    public void IsoMedia_IndexPastTheEnd_IsNamed()
    {
        // Both boxes are whole, but the index speaks of a longer file: two files were joined wrongly, or the middle is gone.
        byte[] movie = Movie(indexFirst: true, chunkShift: 5000);

        Assert.Contains("past the end", Look("a.mov", movie).Damage, StringComparison.Ordinal);
    }

    [Fact]
    public void IsoMedia_64BitSizesAndSizeToTheEnd_AreRead()
    {
        byte[] whole = [.. Box("ftyp", "isom"u8.ToArray()), .. Movie(indexFirst: true)[..0]];
        byte[] large = [0, 0, 0, 1, .. "mdat"u8, .. Big64(16 + 100), .. new byte[100]];
        byte[] open = [0, 0, 0, 0, .. "mdat"u8, .. new byte[50]];

        Assert.Null(Look("a.mp4", [.. whole, .. large, .. Index(16 + 24, timecode: false), .. open]).Damage);
    }

    [Fact]
    public void IsoMedia_Fragmented_PassesWithoutSampleTables()
    {
        byte[] moov = Box("moov", [.. MovieHead(0), .. Box("mvex", [])]);

        Assert.Null(Look("a.mp4", [.. Box("ftyp", "iso5"u8.ToArray()), .. moov, .. Box("moof", new byte[8]), .. Box("mdat", new byte[64])]).Damage);
    }

    [Theory]
    [InlineData(0u)]
    [InlineData(7u)]
    public void IsoMedia_ImpossibleSizes_AreNoEndlessLoop(uint size)
    {
        byte[] bytes = [.. Box("ftyp", "isom"u8.ToArray()), .. Big32(size), .. "free"u8, .. new byte[100]];

        Assert.NotNull(Look("a.mp4", bytes).Damage);
    }

    [Fact]
    public void IsoMedia_AnyByteChanged_NeverThrows()
    {
        byte[] whole = Movie(indexFirst: true);
        for (int i = 0; i < whole.Length; i++)
        {
            foreach (byte value in new byte[] { 0, 0x7F, 0xFF })
            {
                byte[] changed = [.. whole];
                changed[i] = value;
                Look("a.mov", changed);
            }
        }
    }

    [Fact]
    public void Wave_Whole_TellsStartLengthAndTimeReference()
    {
        ClipStructure clip = Look("a.wav", Wave(96_000 * 2, bext: true));

        Assert.Equal((ClipKind.Wave, (string?)null), (clip.Kind, clip.Damage));
        Assert.Equal(Instant.FromUtc(2026, 2, 11, 6, 30, 5), clip.Recorded);
        Assert.Equal(Duration.FromSeconds(2), clip.Length);
        Assert.Equal("06:30:05", clip.Timecode);
    }

    [Fact]
    public void Wave_Cut_SaysHowMuchIsMissing()
    {
        byte[] whole = Wave(1000, bext: false);

        Assert.Equal("10 bytes of sound are missing at its end", Look("a.wav", whole[..^10]).Damage);
    }

    [Theory]
    [InlineData(0u)]
    [InlineData(uint.MaxValue)]
    public void Wave_LengthNeverFilledIn_SaysThatPowerWasLost(uint told)
    {
        byte[] wave = Wave(1000, bext: false);
        BinaryPrimitives.WriteUInt32LittleEndian(wave.AsSpan(wave.Length - 1004), told);

        Assert.Contains("lost power", Look("a.wav", wave).Damage, StringComparison.Ordinal);
    }

    [Fact]
    public void Rf64_TakesTheTrueSizeFromDs64()
    {
        byte[] ds64 = [.. Little64(0), .. Little64(5_000_000_000), .. Little64(0), .. new byte[4]];
        byte[] head = [.. "RF64"u8, .. Little32(uint.MaxValue), .. "WAVE"u8, .. Chunk("ds64", ds64), .. Chunk("fmt ", Format()), .. "data"u8, .. Little32(uint.MaxValue)];

        ClipStructure whole = ClipInspection.Inspect("a.wav", new Padded(head, head.Length + 5_000_000_000));
        ClipStructure cut = ClipInspection.Inspect("a.wav", new Padded(head, head.Length + 4_000_000_000));

        Assert.Null(whole.Damage);
        Assert.Equal(Duration.FromSeconds(5_000_000_000 / 96_000.0), whole.Length);
        Assert.Contains("1000000000 bytes", cut.Damage, StringComparison.Ordinal);
    }

    [Fact]
    public void OtherKinds_Pass()
    {
        Assert.Equal(ClipStructure.Unknown, Look("a.braw", [1, 2, 3]));
        Assert.Equal(ClipStructure.Unknown, Look("a.mov", Encoding.ASCII.GetBytes("something else entirely")));
        Assert.Equal(ClipStructure.Unknown, Look("notes.txt", []));
    }

    [Fact]
    public void MediaFileOfZerosOrNothing_IsDamaged()
    {
        Assert.NotNull(Look("a.mp4", new byte[4096]).Damage);
        Assert.NotNull(Look("a.wav", []).Damage);
    }

    private static ClipStructure Look(string name, byte[] bytes) => ClipInspection.Inspect(name, new Padded(bytes, bytes.Length));

    // Two tracks: pictures in chunks of samples of different sizes, and a timecode of one sample.
    private static byte[] Movie(bool indexFirst, int chunkShift = 0)
    {
        byte[] start = Box("ftyp", "qt  "u8.ToArray());
        byte[] media = Box("mdat", [.. new byte[300], .. Big32((((10 * 60) + 20) * 60 + 30) * 25 + 5)]);
        int length = Index(0, timecode: true).Length;
        int mediaStart = start.Length + (indexFirst ? length : 0) + 8;
        byte[] index = Index(mediaStart + chunkShift, timecode: true);
        return indexFirst ? [.. start, .. index, .. media] : [.. start, .. media, .. index];
    }

    private static byte[] Index(int mediaStart, bool timecode)
    {
        // Three chunks of 2, 2 and 1 samples; samples of 10, 20, 30, 40 and 50 bytes lie one after the other.
        byte[] pictures = Track(
            Box("stsd", new byte[8]),
            Box("stsz", [.. Big32(0), .. Big32(0), .. Big32(5), .. Big32(10), .. Big32(20), .. Big32(30), .. Big32(40), .. Big32(50)]),
            Box("stsc", [.. Big32(0), .. Big32(2), .. Big32(1), .. Big32(2), .. Big32(1), .. Big32(3), .. Big32(1), .. Big32(1)]),
            Box("stco", [.. Big32(0), .. Big32(3), .. Big32((uint)mediaStart), .. Big32((uint)mediaStart + 30), .. Big32((uint)mediaStart + 100)]));
        byte[] description = [.. Big32(0), .. Big32(1), .. Big32(34), .. "tmcd"u8, .. new byte[8], .. new byte[4], .. Big32(0), .. Big32(2500), .. Big32(100), 25, 0];
        byte[] clock = Track(
            Box("stsd", description),
            Box("stsz", [.. Big32(0), .. Big32(4), .. Big32(1)]),
            Box("stsc", [.. Big32(0), .. Big32(1), .. Big32(1), .. Big32(1), .. Big32(1)]),
            Box("co64", [.. Big32(0), .. Big32(1), .. Big64((ulong)mediaStart + 300)]));
        return Box("moov", [.. MovieHead(3_853_670_400), .. pictures, .. timecode ? clock : []]);
    }

    // 2026-02-11 16:00:00 UTC is 3853670400 seconds after 1904-01-01 (2082844800 to 1970, and 1770825600).
    private static byte[] MovieHead(uint created) => Box("mvhd", [.. Big32(0), .. Big32(created), .. Big32(0), .. Big32(1000), .. Big32(90_000), .. new byte[80]]);

    private static byte[] Track(params byte[][] tables) => Box("trak", Box("mdia", Box("minf", Box("stbl", [.. tables.SelectMany(t => t)]))));

    private static byte[] Box(string type, byte[] body) => [.. Big32((uint)body.Length + 8), .. Encoding.ASCII.GetBytes(type), .. body];

    private static byte[] Wave(int dataBytes, bool bext)
    {
        byte[] origin = new byte[602];
        Encoding.ASCII.GetBytes("2026-02-11").CopyTo(origin, 320);
        Encoding.ASCII.GetBytes("06:30:05").CopyTo(origin, 330);
        BinaryPrimitives.WriteUInt64LittleEndian(origin.AsSpan(338), 48_000UL * ((6 * 3600) + (30 * 60) + 5));
        byte[] body = [.. "WAVE"u8, .. bext ? Chunk("bext", origin) : [], .. Chunk("fmt ", Format()), .. Chunk("odd!", [1, 2, 3]), 0, .. Chunk("data", new byte[dataBytes])];
        return [.. "RIFF"u8, .. Little32((uint)body.Length), .. body];
    }

    private static byte[] Format() => [1, 0, 1, 0, .. Little32(48_000), .. Little32(96_000), 2, 0, 16, 0];

    private static byte[] Chunk(string tag, byte[] body) => [.. Encoding.ASCII.GetBytes(tag), .. Little32((uint)body.Length), .. body];

    private static byte[] Big32(uint value) => [(byte)(value >> 24), (byte)(value >> 16), (byte)(value >> 8), (byte)value];

    private static byte[] Big64(ulong value) => [.. Big32((uint)(value >> 32)), .. Big32((uint)value)];

    private static byte[] Little32(uint value) => [.. Big32(value).Reverse()];

    private static byte[] Little64(ulong value) => [.. Big64(value).Reverse()];

    private sealed class Padded(byte[] start, long length) : IClipBytes
    {
        public long Length => length;

        public int Read(long offset, Span<byte> into)
        {
            int count = (int)Math.Clamp(length - offset, 0, into.Length);
            into[..count].Clear();
            for (int i = 0; i < count && offset + i < start.Length; i++)
            {
                into[i] = start[offset + i];
            }

            return count;
        }
    }
}
