using System.Text;
using KitMesh.Disk;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal;
using KitMesh.TestKit.Disk;
using Microsoft.Extensions.Time.Testing;
using NodaTime;
using NodaTime.Testing;
using JournalCore = KitMesh.Sync.Journal.Journal;

namespace KitMesh.Tests.Sync.Journal;

/// <summary>The writer's thread on the machine's own disk.</summary>
public sealed class JournalWriterTests : IDisposable
{
    private static readonly NodeId Node = NodeId.Parse("ridge-hub");
    private readonly string _folder = Directory.CreateTempSubdirectory("kitmesh-journal-").FullName;
    private readonly FakeTimeProvider _machineTime = new();

    private JournalOptions Options => new() { Folder = Path.Combine(_folder, "journal"), Node = Node, SegmentBytes = 64 << 10 };

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [Fact]
    public async Task AppendAsync_ManyProducers_AllAreThereAfterReopening()
    {
        const int Producers = 16;
        const int Each = 40;
        await using (JournalWriter writer = Open())
        {
            await Task.WhenAll(Enumerable.Range(0, Producers).Select(producer => Task.Run(() => Produce(writer, producer, Each))));
            Assert.Equal(Producers + 0, writer.Have().Count);
        }

        await using JournalWriter again = Open();
        Assert.Equal(Producers * Each, again.Replay(JournalPosition.Start).Count());
        Assert.All(again.Have(), holding => Assert.Equal(SequenceRanges.Of(1, Each), holding.Ranges));
        Assert.Empty(again.Recovery.Damage);
    }

    [Fact]
    public async Task AppendAsync_WhileTheSyncHangs_GroupsAllWhoWait()
    {
        using var syncing = new SemaphoreSlim(0);
        using var release = new SemaphoreSlim(0);
        var disk = new SimulatedDisk(1);
        var writer = new JournalWriter(OpenOn(disk), OnSimulatedDisk, _machineTime, FakeClock.FromUtc(2026, 2, 1));
        disk.Decide = step =>
        {
            if (step.Kind == DiskStepKind.Sync)
            {
                syncing.Release();
                release.Wait(TestContext.Current.CancellationToken);
            }

            return DiskMishap.None;
        };
        Task<AppendResult> first = writer.AppendAsync([Report(1, 1)], TestContext.Current.CancellationToken).AsTask();
        await syncing.WaitAsync(TestContext.Current.CancellationToken);
        // The sync of the first hangs; readers are not held up, and nothing is called durable.
        Assert.Null(writer.Have(Report(1, 1).Key.Origin));
        Task<AppendResult>[] others = [.. Enumerable.Range(2, 50).Select(i => writer.AppendAsync([Report(i, 1)], TestContext.Current.CancellationToken).AsTask())];
        Assert.False(first.IsCompleted);
        release.Release();
        await first;
        await syncing.WaitAsync(TestContext.Current.CancellationToken);
        release.Release();
        Assert.All(await Task.WhenAll(others), result => Assert.IsType<AppendResult.Durable>(result));
        Assert.Equal(2, writer.Commits);
        disk.Decide = null;
        await writer.DisposeAsync();
    }

    [Fact]
    public async Task AppendOwnAsync_ManyProducers_SequencesHaveNoGapAndNoTwins()
    {
        await using JournalWriter writer = Open();
        OwnAppend[] appended = await Task.WhenAll(Enumerable.Range(0, 100).Select(i => writer
            .AppendOwnAsync([key => Encoding.UTF8.GetBytes($"{key} by {i}")], TestContext.Current.CancellationToken).AsTask()));

        Assert.Equal(Enumerable.Range(1, 100).Select(i => (ulong)i), appended.Select(one => one.Sequences!.Value.First).Order());
        Assert.Equal(SequenceRanges.Of(1, 100), writer.Have(writer.Own)!.Ranges);
    }

    [Fact]
    public async Task WhenPastAsync_NewCommit_WakesTheView()
    {
        await using JournalWriter writer = Open();
        JournalPosition before = writer.End;
        Task<JournalPosition> past = writer.WhenPastAsync(before, TestContext.Current.CancellationToken).AsTask();
        Assert.False(past.IsCompleted);
        await writer.AppendAsync([Report(1, 1)], TestContext.Current.CancellationToken);
        Assert.Equal(writer.End, await past);
        Assert.Single(writer.Replay(before));
        Assert.Empty(writer.Replay(writer.End));
    }

    [Fact]
    public async Task Maintain_AcknowledgedAndGraceOver_DropsSegmentsAndKeepsCounting()
    {
        JournalOptions options = Options with { SegmentBytes = 4096, DropAcknowledged = true, KeepAfterAcknowledgement = Duration.FromHours(1) };
        await using (JournalWriter writer = Open(options))
        {
            await AppendOwn(writer, 60);
            writer.Acknowledge(writer.Own, 60);
            await AppendOwn(writer, 1);
            Assert.Equal(SequenceRanges.Of(1, 61), writer.Have(writer.Own)!.Kept);
            _machineTime.Advance(TimeSpan.FromMinutes(61));
            await AppendOwn(writer, 1);
        }

        await using JournalWriter again = Open(options);
        OriginHolding holding = again.Have(again.Own)!;
        Assert.Equal(SequenceRanges.Of(1, 62), holding.Ranges);
        Assert.True(holding.Kept[0].First > 1);
        Assert.Equal(62UL, holding.ChainSequence);
        Assert.Equal(63UL, (await again.AppendOwnAsync([_ => new byte[] { 1 }], TestContext.Current.CancellationToken)).Sequences!.Value.First);
    }

    [Fact]
    public async Task ChainAt_InsideWhatWasDroppedWhole_IsUnknown()
    {
        await using JournalWriter writer = Open(Options with { SegmentBytes = 4096, DropAcknowledged = true, KeepAfterAcknowledgement = Duration.Zero });
        await AppendOwn(writer, 60);
        writer.Acknowledge(writer.Own, 60);
        for (ulong i = 1; i <= 400 && !writer.Have(writer.Own)!.Kept.IsEmpty; i++)
        {
            RawReport other = Report(1, (int)i);
            await writer.AppendAsync([other], TestContext.Current.CancellationToken);
            writer.Acknowledge(other.Key.Origin, i);
            _machineTime.Advance(TimeSpan.FromMinutes(1));
        }

        Assert.True(writer.Have(writer.Own)!.Kept.IsEmpty);
        Assert.Null(writer.ChainAt(writer.Own, 3));
        Assert.Equal(writer.Have(writer.Own)!.ChainHash, writer.ChainAt(writer.Own, 60));
    }

    [Fact]
    public async Task Open_SecondTimeInOneFolder_NamesTheProcessThatHoldsIt()
    {
        await using JournalWriter writer = Open();
        JournalOpening second = JournalCore.Open(new PhysicalDisk(), Options, 1, 2);
        Assert.IsType<JournalOpening.Busy>(second);
        Assert.Contains($"process {Environment.ProcessId}", second.ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task AppendAsync_PastABound_IsRefusedInWordsAndOthersGoOn()
    {
        await using JournalWriter writer = Open();
        var tooLarge = new RawReport(Report(1, 1).Key, new byte[JournalOptions.MaxReportBytes + 1]);
        Assert.Contains("past the bound", Assert.IsType<AppendResult.Refused>(await writer.AppendAsync([tooLarge], TestContext.Current.CancellationToken)).Reason, StringComparison.Ordinal);
        Assert.IsType<AppendResult.Refused>(await writer.AppendAsync([Report(1, 0)], TestContext.Current.CancellationToken));
        Assert.IsType<AppendResult.Durable>(await writer.AppendAsync([Report(1, 1)], TestContext.Current.CancellationToken));
    }

    private static JournalOptions OnSimulatedDisk => new() { Folder = "/data/journal", Node = Node };

    private static JournalCore OpenOn(SimulatedDisk disk) =>
        Assert.IsType<JournalOpening.Opened>(JournalCore.Open(disk, OnSimulatedDisk, 1, 2)).Journal;

    private static async Task Produce(JournalWriter writer, int producer, int count)
    {
        for (int i = 1; i <= count; i++)
        {
            Assert.IsType<AppendResult.Durable>(await writer.AppendAsync([Report(producer, i)], TestContext.Current.CancellationToken));
        }
    }

    private static async Task AppendOwn(JournalWriter writer, int count)
    {
        for (int i = 0; i < count; i++)
        {
            await writer.AppendOwnAsync([_ => new byte[300]], TestContext.Current.CancellationToken);
        }
    }

    private static RawReport Report(int producer, int sequence) =>
        new(new ReportKey(new OriginId(NodeId.Parse($"agent-{producer}"), 1), (ulong)sequence), Encoding.UTF8.GetBytes($"report {sequence} of {producer}"));

    private JournalWriter Open(JournalOptions? options = null)
    {
        options ??= Options;
        var opened = Assert.IsType<JournalOpening.Opened>(JournalCore.Open(new PhysicalDisk(), options, 1, 2));
        return new JournalWriter(opened.Journal, options, _machineTime, FakeClock.FromUtc(2026, 2, 1));
    }
}
