using System.Text;
using CsCheck;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal;
using KitMesh.Sync.Journal.Format;
using KitMesh.Sync.Session;
using KitMesh.TestKit.Disk;
using KitMesh.TestKit.Sync;
using NodaTime;
using JournalCore = KitMesh.Sync.Journal.Journal;

namespace KitMesh.Tests.Sync.Journal;

/// <summary>What a journal says it holds is what it holds: whatever was lost, came again, or came in another order.</summary>
public sealed class JournalLossTests
{
    private static readonly OriginId Ridge = new(NodeId.Parse("ridge-station"), 7);

    [Fact]
    public void AppendOwn_OwnReportsTurnOutDamagedMeanwhile_GivesNoSequenceOutTwice()
    {
        var disk = new SimulatedDisk(1);
        JournalCore journal = Open(disk);
        OriginId before = journal.Own;
        Assert.Equal(new SequenceRange(1, 2), journal.AppendOwn([Own, Own], NodaConstants.UnixEpoch).Sequences);
        Assert.Equal(new SequenceRange(3, 3), journal.AppendOwn([Own], NodaConstants.UnixEpoch).Sequences);
        string path = disk.Files.Single(file => file.EndsWith(SegmentName.RawEnding, StringComparison.Ordinal));
        disk.FlipBit(path, (disk.Bytes(path).Length - 20) * 8L);
        Assert.NotNull(journal.Read(before, new SequenceRange(1, 3), int.MaxValue).Damage);

        OwnAppend next = journal.AppendOwn([Own], NodaConstants.UnixEpoch);

        Assert.Equal(new SequenceRange(1, 1), next.Sequences);
        Assert.NotEqual(before, journal.Own);
        Assert.Equal(SequenceRanges.Of(1, 2), journal.Have(before)!.Ranges);
        OriginId after = journal.Own;
        journal.Dispose();
        Assert.Equal(after, Open(disk).Own);
    }

    [Fact]
    public void Open_SegmentBegunAfterALoss_DoesNotGoOnInTheOldEpoch()
    {
        var disk = new SimulatedDisk(1);
        JournalCore journal = Open(disk);
        OriginId before = journal.Own;
        journal.AppendOwn([Own], NodaConstants.UnixEpoch);
        journal.AppendOwn([Own], NodaConstants.UnixEpoch);
        string path = disk.Files.Single(file => file.EndsWith(SegmentName.RawEnding, StringComparison.Ordinal));
        disk.FlipBit(path, (disk.Bytes(path).Length - 20) * 8L);
        Assert.NotNull(journal.Read(before, new SequenceRange(1, 2), int.MaxValue).Damage);

        // Others' reports fill this segment and begin the next.
        for (ulong i = 1; i <= 40; i++)
        {
            journal.Append([Report(i, "a")], NodaConstants.UnixEpoch);
        }

        journal.Dispose();
        Assert.NotEqual(before, Open(disk).Own);
    }

    [Fact]
    public void Open_OtherContentCameInPlaceOfALoss_TellsTheChainOfWhatIsHeld()
    {
        var disk = new SimulatedDisk(1);
        JournalCore journal = Open(disk);
        for (ulong i = 1; i <= 40; i++)
        {
            journal.Append([Report(i, "a")], NodaConstants.UnixEpoch);
        }

        while (journal.Maintain(Duration.Zero).Value)
        {
        }

        string path = disk.Files.First(file => file.EndsWith(SegmentName.SealedEnding, StringComparison.Ordinal));
        disk.FlipBit(path, disk.Bytes(path).Length * 4L);
        journal.Dispose();
        journal = Open(disk);
        SequenceRanges lost = SequenceRanges.Of(1, 40).Except(journal.Have(Ridge)!.Ranges);
        Assert.False(lost.IsEmpty);

        // A writer whose disk was restored wrote other reports under the lost sequences.
        journal.Append([.. lost.SelectMany(range => Numbers(range)).Select(sequence => Report(sequence, "b"))], NodaConstants.UnixEpoch);
        for (int reopening = 0; reopening < 3; reopening++)
        {
            Assert.Equal(40UL, journal.Have(Ridge)!.ChainSequence);
            Assert.Equal(ChainOfContents(journal), journal.Have(Ridge)!.ChainHash);
            journal.Dispose();
            journal = Open(disk);
        }
    }

    [Fact]
    public void Open_FirstContentIsDamagedAndAForkIsLeft_HoldsTheFork()
    {
        var disk = new SimulatedDisk(1);
        JournalCore journal = Open(disk);
        journal.Append([Report(1, "a")], NodaConstants.UnixEpoch);
        string path = disk.Files.Single(file => file.EndsWith(SegmentName.RawEnding, StringComparison.Ordinal));
        int beforeSecond = disk.Bytes(path).Length;
        journal.Append([Report(2, "a")], NodaConstants.UnixEpoch);
        int afterSecond = disk.Bytes(path).Length;
        journal.Append([Report(2, "b"), Report(2, "c"), Report(3, "a")], NodaConstants.UnixEpoch);
        journal.Dispose();
        disk.FlipBit(path, (beforeSecond + afterSecond) * 4L);

        journal = Open(disk);
        Assert.Single(journal.Recovery.Damage);
        for (int reopening = 0; reopening < 3; reopening++)
        {
            OriginHolding holding = journal.Have(Ridge)!;
            Assert.Equal(SequenceRanges.Of(1, 3), holding.Kept);
            Assert.Single(holding.Forks);
            JournalRead read = journal.Read(Ridge, new SequenceRange(1, 3), int.MaxValue);
            Assert.Null(read.Damage);
            Assert.Equal([1, 2, 2, 3], read.Reports.Select(report => (int)report.Key.Sequence));
            Assert.Equal(ChainOfContents(journal), holding.ChainHash);
            journal.Dispose();
            journal = Open(disk);
        }
    }

    [Fact]
    public void Read_ForkTurnsOutDamaged_LeavesTheHoldingSoThatPeersSeeIt()
    {
        var disk = new SimulatedDisk(1);
        JournalCore journal = Open(disk);
        journal.Append([Report(1, "a"), Report(2, "a")], NodaConstants.UnixEpoch);
        journal.Append([Report(3, "a")], NodaConstants.UnixEpoch);
        Sha256Hash whole = journal.Have(Ridge)!.ChainHash;
        journal.Append([Report(2, "b")], NodaConstants.UnixEpoch);
        Assert.Single(journal.Have(Ridge)!.Forks);
        Assert.NotEqual(whole, journal.Have(Ridge)!.ChainHash);
        string path = disk.Files.Single(file => file.EndsWith(SegmentName.RawEnding, StringComparison.Ordinal));
        disk.FlipBit(path, (disk.Bytes(path).Length - 20) * 8L);

        JournalRead read = journal.Read(Ridge, new SequenceRange(1, 3), int.MaxValue);

        Assert.NotNull(read.Damage);
        Assert.Equal(3, read.Reports.Count);
        Assert.Empty(journal.Have(Ridge)!.Forks);
        Assert.Equal(whole, journal.Have(Ridge)!.ChainHash);
        Assert.Equal(3UL, journal.Have(Ridge)!.ChainSequence);

        Assert.IsType<AppendResult.Durable>(journal.Append([Report(2, "b")], NodaConstants.UnixEpoch));
        Assert.Equal(ChainOfContents(journal), journal.Have(Ridge)!.ChainHash);
        Assert.NotEqual(whole, journal.Have(Ridge)!.ChainHash);
    }

    [Fact]
    public void Append_ManyForks_KeepsThemUpToTheBounds()
    {
        JournalCore journal = Open(new SimulatedDisk(1));
        journal.Append([.. Numbers(new SequenceRange(1, 300)).Select(sequence => Report(sequence, "before"))], NodaConstants.UnixEpoch);

        // The writer's disk was put back to an image from before all this, and the writer went on.
        var after = Assert.IsType<AppendResult.Durable>(
            journal.Append([.. Numbers(new SequenceRange(1, 300)).Select(sequence => Report(sequence, "after"))], NodaConstants.UnixEpoch));
        var liar = Assert.IsType<AppendResult.Durable>(
            journal.Append([.. Enumerable.Range(0, 100).Select(content => Report(7, $"content {content}"))], NodaConstants.UnixEpoch));

        Assert.Equal((300, 0), (after.Forks.Count, after.ForksLeftOut));
        Assert.Equal((JournalOptions.MaxForksPerSequence - 1, 37), (liar.Forks.Count, liar.ForksLeftOut));
        Assert.Equal(600 + liar.Forks.Count, journal.Contents(Ridge, new SequenceRange(1, 300), int.MaxValue).Count);
        Assert.Equal(ChainOfContents(journal), journal.Have(Ridge)!.ChainHash);
    }

    /// <summary>Reports with forks, in any order, in batches of any size, with restarts and sealing in between.</summary>
    [Fact]
    public void Chain_AnyOrderOfArrival_IsTheSame() => Gen.Int.Sample(
        seed =>
        {
            var random = new SeededRandom((ulong)seed);
            RawReport[] reports =
            [
                .. Enumerable.Range(1, random.Between(1, 30)).SelectMany(sequence =>
                    Enumerable.Range(0, random.OneIn(5) ? random.Between(2, 3) : 1).Select(side => Report((ulong)sequence, $"side {side}"))),
            ];
            JournalCore first = Arrive(reports, random);
            JournalCore second = Arrive(reports, random);
            Assert.Equal(HoldingsFingerprint.Of(first.Have()), HoldingsFingerprint.Of(second.Have()));
            Assert.Equal(reports[^1].Key.Sequence, first.Have(Ridge)!.ChainSequence);
            Assert.Equal(ChainOfContents(first), first.Have(Ridge)!.ChainHash);
        },
        iter: 300);

    private static JournalCore Arrive(RawReport[] reports, SeededRandom random)
    {
        List<RawReport> left = [.. reports];
        var disk = new SimulatedDisk(random.Next());
        JournalCore journal = Open(disk);
        while (left.Count > 0)
        {
            int count = Math.Min(left.Count, random.Between(1, 6));
            List<RawReport> batch = [.. Enumerable.Range(0, count).Select(_ => Take(left, random)).OrderBy(report => report.Key.Sequence)];
            Assert.IsType<AppendResult.Durable>(journal.Append(batch, NodaConstants.UnixEpoch));
            if (random.OneIn(4))
            {
                _ = journal.Maintain(Duration.Zero);
            }

            if (random.OneIn(4))
            {
                journal.Dispose();
                journal = Open(disk);
            }
        }

        return journal;
    }

    private static RawReport Take(List<RawReport> from, SeededRandom random)
    {
        int at = random.Below(from.Count);
        RawReport taken = from[at];
        from.RemoveAt(at);
        return taken;
    }

    private static Sha256Hash ChainOfContents(JournalCore journal)
    {
        Sha256Hash chain = ReportChain.Seed(Ridge);
        foreach (IGrouping<ulong, RawReport> step in journal.Read(Ridge, new SequenceRange(1, ulong.MaxValue - 1), int.MaxValue).Reports.GroupBy(report => report.Key.Sequence))
        {
            chain = ChainOracle.Next(chain, step.Key, step);
        }

        return chain;
    }

    private static ReadOnlyMemory<byte> Own(ReportKey key) => Encoding.UTF8.GetBytes($"own {key}");

    private static IEnumerable<ulong> Numbers(SequenceRange range)
    {
        for (ulong number = range.First; number <= range.Last; number++)
        {
            yield return number;
        }
    }

    private static RawReport Report(ulong sequence, string side)
    {
        var random = new SeededRandom(sequence);
        string noise = Convert.ToHexString([.. Enumerable.Range(0, 100).Select(_ => (byte)random.Next())]);
        return new RawReport(new ReportKey(Ridge, sequence), Encoding.UTF8.GetBytes($"report {sequence} {side} {noise}"));
    }

    private static JournalCore Open(SimulatedDisk disk)
    {
        disk.KillProcess();
        var options = new JournalOptions { Folder = JournalScript.Folder, Node = NodeId.Parse("ridge-hub"), SegmentBytes = 4096 };
        return Assert.IsType<JournalOpening.Opened>(JournalCore.Open(disk, options, 10, 20)).Journal;
    }
}
