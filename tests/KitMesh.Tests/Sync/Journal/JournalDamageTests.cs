using System.Buffers.Binary;
using System.IO.Hashing;
using System.Text;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal;
using KitMesh.Sync.Journal.Format;
using KitMesh.TestKit.Disk;
using NodaTime;
using JournalCore = KitMesh.Sync.Journal.Journal;

namespace KitMesh.Tests.Sync.Journal;

/// <summary>Bits turn, tails tear, versions differ, two processes meet.</summary>
public sealed class JournalDamageTests
{
    private const string Folder = JournalScript.Folder;
    private static readonly OriginId Ridge = new(NodeId.Parse("ridge-station"), 7);

    [Fact]
    public void Crc_OfTheStandardsText_IsThePublishedValue()
    {
        // ECMA-182 (1992), as listed for "CRC-64/ECMA-182" in the public catalogue of parametrised CRC algorithms.
        Assert.Equal(0x6C40DF5F0B497347UL, Crc64.HashToUInt64("123456789"u8));
    }

    [Fact]
    public void Open_TailTornAtEveryByte_KeepsAllBeforeAndReportsNoDamage()
    {
        byte[] whole = RawSegmentOf(reports: 5, out string path);
        List<SegmentPiece> frames = SegmentWalk.Split(whole, 1, 0, out _);
        long lastFrame = frames[^1].Offset;
        for (long cut = lastFrame; cut < whole.Length; cut++)
        {
            var disk = new SimulatedDisk(1);
            disk.CreateDirectory(Folder);
            disk.Put(path, whole.AsSpan(0, (int)cut));
            JournalCore journal = Open(disk);
            Assert.Equal(4UL, journal.Have(Ridge)!.Ranges.PrefixEnd);
            Assert.Equal(cut - lastFrame, journal.Recovery.TailBytesCut);
            Assert.Empty(journal.Recovery.Damage);
            Assert.Null(journal.Recovery.OldOrigin);
        }
    }

    [Fact]
    public void Open_AnyBitTurnedInTheNewestSegment_LosesAtMostTheFrameAndSaysSo()
    {
        byte[] whole = RawSegmentOf(reports: 5, out string path);
        List<SegmentPiece> frames = SegmentWalk.Split(whole, 1, 0, out _);
        for (long bit = frames[1].Offset * 8; bit < whole.Length * 8L; bit += 3)
        {
            var disk = new SimulatedDisk(1);
            disk.CreateDirectory(Folder);
            disk.Put(path, whole);
            disk.FlipBit(path, bit);
            JournalCore journal = Open(disk);
            int hit = frames.FindIndex(piece => bit / 8 < piece.End);
            SequenceRanges expected = SequenceRanges.Of(1, 5).Except(SequenceRanges.Of((ulong)hit, (ulong)hit));
            Assert.Equal(expected, journal.Have(Ridge)!.Ranges);
            // Rot in the very last commit cannot be told from a torn write; everywhere else it is reported.
            Assert.Equal(hit == 5 ? 0 : 1, journal.Recovery.Damage.Count);
            Assert.Equal(hit == 5, journal.Recovery.OldOrigin is null);
        }
    }

    [Fact]
    public void Open_SealedBlockDamaged_AsksForItAgainAndHeals()
    {
        var disk = new SimulatedDisk(1);
        JournalCore journal = Open(disk);
        RawReport[] reports = [.. Enumerable.Range(1, 40).Select(i => Report((ulong)i))];
        foreach (RawReport report in reports)
        {
            Assert.IsType<AppendResult.Durable>(journal.Append([report], NodaConstants.UnixEpoch));
        }

        while (journal.Maintain(Duration.Zero).Value)
        {
        }

        journal.Dispose();
        string path = disk.Files.First(file => file.EndsWith(SegmentName.SealedEnding, StringComparison.Ordinal));
        disk.FlipBit(path, disk.Bytes(path).Length * 4L);

        journal = Open(disk);
        Assert.NotEmpty(journal.Recovery.Damage);
        SequenceRanges held = journal.Have(Ridge)!.Ranges;
        SequenceRanges lost = SequenceRanges.Of(1, 40).Except(held);
        Assert.False(lost.IsEmpty);
        Assert.Equal(lost, SequenceRanges.FromUnordered(journal.Recovery.Missing.Select(missing => missing.Range)));
        Assert.Equal(held.PrefixEnd, journal.Have(Ridge)!.ChainSequence);

        Assert.IsType<AppendResult.Durable>(journal.Append([.. reports.Where(report => lost.Contains(report.Key.Sequence))], NodaConstants.UnixEpoch));
        Assert.Equal(SequenceRanges.Of(1, 40), journal.Have(Ridge)!.Ranges);
        Assert.Equal(40UL, journal.Have(Ridge)!.ChainSequence);
        OriginId own = journal.Own;
        journal.Dispose();
        journal = Open(disk);
        Assert.Equal(SequenceRanges.Of(1, 40), journal.Have(Ridge)!.Ranges);
        Assert.Equal(own, journal.Own);
        Assert.Empty(journal.Recovery.Missing);
    }

    [Fact]
    public void Read_BitTurnsWhileOpen_ReportsDamageAndForgetsTheRun()
    {
        var disk = new SimulatedDisk(1);
        JournalCore journal = Open(disk);
        journal.Append([Report(1), Report(2)], NodaConstants.UnixEpoch);
        string path = disk.Files.First(file => file.EndsWith(SegmentName.RawEnding, StringComparison.Ordinal));
        disk.FlipBit(path, (disk.Bytes(path).Length - 20) * 8L);

        JournalRead read = journal.Read(Ridge, new SequenceRange(1, 2), int.MaxValue);

        Assert.NotNull(read.Damage);
        Assert.True(journal.Have(Ridge)!.Ranges.IsEmpty);
    }

    [Fact]
    public void Read_DamageInTheMiddleOfARun_LosesOnlyThatFrameAndServesEachReportOnce()
    {
        var disk = new SimulatedDisk(1);
        JournalCore journal = Open(disk);
        for (ulong i = 1; i <= 5; i++)
        {
            journal.Append([Report(i)], NodaConstants.UnixEpoch);
        }

        string path = disk.Files.First(file => file.EndsWith(SegmentName.RawEnding, StringComparison.Ordinal));
        SegmentPiece third = SegmentWalk.Split(disk.Bytes(path), SegmentNumber(path), 0, out _)[3];
        disk.FlipBit(path, (third.Offset + 70) * 8);

        Assert.NotNull(journal.Read(Ridge, new SequenceRange(1, 5), int.MaxValue).Damage);
        Assert.Equal([new SequenceRange(1, 2), new SequenceRange(4, 5)], journal.Have(Ridge)!.Ranges);
        Assert.Equal(2UL, journal.Have(Ridge)!.ChainSequence);

        // What a peer sends again overlaps what is still there.
        Assert.IsType<AppendResult.Durable>(journal.Append([Report(2), Report(3), Report(4)], NodaConstants.UnixEpoch));
        for (int reopening = 0; reopening < 2; reopening++)
        {
            Assert.Equal(SequenceRanges.Of(1, 5), journal.Have(Ridge)!.Ranges);
            Assert.Equal(5UL, journal.Have(Ridge)!.ChainSequence);
            JournalRead read = journal.Read(Ridge, new SequenceRange(1, 5), int.MaxValue);
            Assert.Null(read.Damage);
            Assert.Equal([1UL, 2, 3, 4, 5], read.Reports.Select(report => report.Key.Sequence));
            journal.Dispose();
            journal = Open(disk);
        }
    }

    [Theory]
    [InlineData(4, (byte)2)]
    [InlineData(6, (byte)200)]
    public void Open_FrameOfANewerVersion_StopsAndChangesNothing(int at, byte value)
    {
        byte[] whole = RawSegmentOf(reports: 3, out string path);
        SegmentPiece middle = SegmentWalk.Split(whole, 1, 0, out _)[2];
        Span<byte> frame = whole.AsSpan((int)middle.Offset, (int)middle.Length);
        frame[at] = value;
        Seal(frame, segment: 1, middle.Offset);
        var disk = new SimulatedDisk(1);
        disk.CreateDirectory(Folder);
        disk.Put(path, whole);

        JournalOpening opening = JournalCore.Open(disk, Options, 10, 20);

        Assert.Equal(middle.Offset, Assert.IsType<JournalOpening.Newer>(opening).Offset);
        Assert.Contains("newer version", opening.ToString(), StringComparison.Ordinal);
        Assert.Equal(whole, disk.Bytes(path));
    }

    [Theory]
    [InlineData(int.MaxValue)]
    [InlineData(FrameCodec.MaxFrameBytes + 1)]
    [InlineData(-5)]
    [InlineData(3)]
    public void Open_FrameWithAnImpossibleLength_IsDamageNotAReasonToReserveMemory(int length)
    {
        byte[] whole = RawSegmentOf(reports: 3, out string path);
        SegmentPiece middle = SegmentWalk.Split(whole, 1, 0, out _)[2];
        BinaryPrimitives.WriteInt32LittleEndian(whole.AsSpan((int)middle.Offset + 8), length);
        var disk = new SimulatedDisk(1);
        disk.CreateDirectory(Folder);
        disk.Put(path, whole);

        JournalCore journal = Open(disk);

        Assert.Single(journal.Recovery.Damage);
        Assert.Equal([new SequenceRange(1, 1), new SequenceRange(3, 3)], journal.Have(Ridge)!.Ranges);
    }

    [Fact]
    public void Open_ReportThatLooksLikeAFrame_IsNotTakenForOne()
    {
        // The report carries a whole frame, good in itself; the frame around it is then damaged.
        var inner = new FrameBuffer();
        FrameCodec.Write(inner, 1, new Frame(FrameKind.Reports, 0, 0, 1, 0, 0, new OriginId(NodeId.Parse("liar"), 1), 1, 1, new byte[] { 0, 0, 0, 0 }));
        var disk = new SimulatedDisk(1);
        JournalCore journal = Open(disk);
        journal.Append([new RawReport(new ReportKey(Ridge, 1), inner.Written.ToArray())], NodaConstants.UnixEpoch);
        journal.Append([Report(2)], NodaConstants.UnixEpoch);
        journal.Dispose();
        string path = disk.Files.Single(file => file.EndsWith(SegmentName.RawEnding, StringComparison.Ordinal));
        long at = SegmentWalk.Split(disk.Bytes(path), SegmentNumber(path), 0, out _)[1].Offset;
        disk.FlipBit(path, (at + 13) * 8);

        journal = Open(disk);

        Assert.Equal([Ridge], journal.Have().Select(holding => holding.Origin));
        Assert.Equal([new SequenceRange(2, 2)], journal.Have(Ridge)!.Ranges);
    }

    [Fact]
    public void Open_FolderHeldByAnotherProcess_SaysSo()
    {
        var disk = new SimulatedDisk(1);
        using JournalCore journal = Open(disk);

        JournalOpening second = JournalCore.Open(disk, Options, 10, 20);

        Assert.IsType<JournalOpening.Busy>(second);
        Assert.Contains("in use", second.ToString(), StringComparison.Ordinal);
    }

    private static JournalOptions Options => new() { Folder = Folder, Node = NodeId.Parse("ridge-hub"), SegmentBytes = 4096 };

    private static ulong SegmentNumber(string path) => SegmentName.TryParse(Path.GetFileName(path), out ulong number, out _) ? number : 0;

    private static RawReport Report(ulong sequence) =>
        new(new ReportKey(Ridge, sequence), Encoding.UTF8.GetBytes($"report {sequence} {Noise(sequence)}"));

    /// <summary>Text that zstd cannot make much smaller.</summary>
    private static string Noise(ulong sequence)
    {
        var random = new SeededRandom(sequence);
        return Convert.ToHexString([.. Enumerable.Range(0, 100).Select(_ => (byte)random.Next())]);
    }

    private static JournalCore Open(SimulatedDisk disk)
    {
        disk.KillProcess();
        return Assert.IsType<JournalOpening.Opened>(JournalCore.Open(disk, Options, 10, 20)).Journal;
    }

    /// <summary>A newest segment with one report in each commit.</summary>
    private static byte[] RawSegmentOf(int reports, out string path)
    {
        var disk = new SimulatedDisk(1);
        JournalCore journal = Open(disk);
        for (int i = 1; i <= reports; i++)
        {
            journal.Append([Report((ulong)i)], NodaConstants.UnixEpoch);
        }

        path = disk.Files.Single(file => file.EndsWith(SegmentName.RawEnding, StringComparison.Ordinal));
        return disk.Bytes(path);
    }

    private static void Seal(Span<byte> frame, ulong segment, long offset)
    {
        byte[] place = new byte[16];
        BinaryPrimitives.WriteUInt64LittleEndian(place, segment);
        BinaryPrimitives.WriteInt64LittleEndian(place.AsSpan(8), offset);
        ulong check = Crc64.HashToUInt64([.. place, .. frame[..^8]]);
        BinaryPrimitives.WriteUInt64LittleEndian(frame[^8..], check);
    }
}
