using System.Text;
using KitMesh.Disk;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.Reports;
using KitMesh.Storage;
using KitMesh.Storage.LiteDb;
using KitMesh.Storage.Queries;
using KitMesh.Sync.Journal;
using KitMesh.TestKit.Storage;

namespace KitMesh.Tests.Storage;

/// <summary>The contract on LiteDB, and what is LiteDB's own: the file, the mark, the lock and the owner thread.</summary>
public sealed class LiteDbReportStoreTests : ReportStoreContract, IDisposable
{
    private readonly DirectoryInfo _root = Directory.CreateTempSubdirectory("kitmesh-store-");
    private readonly ReportMaker _maker = new("ridge-agent");
    private int _stores;

    public void Dispose() => _root.Delete(recursive: true);

    [Fact]
    public async Task Open_AfterCleanClose_KeepsEverything()
    {
        List<IncomingReport> reports = Mixture(seed: 4, count: 300);
        string before;
        await using (IReportStore store = await OpenAsync("a"))
        {
            Assert.Equal(StoreOpeningState.Fresh, store.Opening.State);
            await store.WriteAsync(reports, new JournalPosition(3, 77), Cancel);
            before = await StoreDump.OfAsync(store);
        }

        await using IReportStore again = await OpenAsync("a");

        Assert.Equal(new StoreOpening(StoreOpeningState.Kept, new JournalPosition(3, 77)), again.Opening);
        Assert.Equal(before, await StoreDump.OfAsync(again));
    }

    [Fact]
    public async Task Write_AfterReopen_GoesOnAsIfNeverClosed()
    {
        List<IncomingReport> reports = Mixture(seed: 6, count: 300);
        await using IReportStore whole = await OpenAsync("whole");
        await whole.WriteAsync(reports, default, Cancel);
        foreach (IncomingReport[] part in reports.Chunk(75))
        {
            await using IReportStore store = await OpenAsync("parts");
            await store.WriteAsync(part, default, Cancel);
        }

        await using IReportStore parts = await OpenAsync("parts");

        Assert.Equal(await StoreDump.OfAsync(whole), await StoreDump.OfAsync(parts));
    }

    [Fact]
    public async Task Open_WithoutCleanMark_DiscardsAndSaysWhy()
    {
        await FillAsync("a");
        File.Delete(PathOf("a", "clean"));

        await using IReportStore store = await OpenAsync("a");

        Assert.Equal(StoreOpeningState.Discarded, store.Opening.State);
        Assert.Contains("not shut down cleanly", store.Opening.Reason, StringComparison.Ordinal);
        Assert.Equal(JournalPosition.Start, store.Opening.AppliedTo);
        Assert.Empty((await store.ReadAsync(new ReportQuery(), Cancel)).Reports);
    }

    [Fact]
    public async Task Open_WhileInUse_MarkIsGoneUntilClosed()
    {
        await FillAsync("a");
        await using (IReportStore store = await OpenAsync("a"))
        {
            Assert.False(File.Exists(PathOf("a", "clean")));
        }

        Assert.True(File.Exists(PathOf("a", "clean")));
    }

    [Theory]
    [InlineData(0UL, 1)]
    [InlineData(9UL, 2)]
    public async Task Open_OtherJournalOrFold_Discards(ulong journal, int fold)
    {
        await FillAsync("a");

        await using IReportStore store = await OpenAsync("a", new StoreStamp(journal, fold));

        Assert.Equal(StoreOpeningState.Discarded, store.Opening.State);
    }

    [Theory]
    [InlineData(0)]
    [InlineData(1)]
    [InlineData(2)]
    public async Task Open_CorruptFile_DiscardsOrFaultsAndNeverAnswersWrong(int damage)
    {
        string expected = await FillAsync("a");
        string file = PathOf("a", "view.db");
        byte[] bytes = await File.ReadAllBytesAsync(file, Cancel);
        switch (damage)
        {
            case 0: // The first page, where the database keeps its own head.
                Array.Clear(bytes, 0, 8_192);
                break;
            case 1: // A single byte inside the reports' own text.
                bytes[bytes.AsSpan().IndexOf(Encoding.UTF8.GetBytes("wind 17"))] ^= 0x20;
                break;
            default: // All but the first pages.
                bytes.AsSpan(16_384).Fill(0xA5);
                break;
        }

        await File.WriteAllBytesAsync(file, bytes, Cancel);
        await using IReportStore store = await OpenAsync("a");
        if (store.Opening.State == StoreOpeningState.Kept)
        {
            Exception failure = await Assert.ThrowsAsync<StoreFaultedException>(() => StoreDump.OfAsync(store));
            Assert.Contains("the journal refills it", failure.Message, StringComparison.Ordinal);
            await Assert.ThrowsAsync<StoreFaultedException>(() => store.WriteAsync([], default, Cancel));
            await store.DisposeAsync();
            await using IReportStore next = await OpenAsync("a");
            Assert.Equal(StoreOpeningState.Discarded, next.Opening.State);
            await RefillAsync(next);
            Assert.Equal(expected, await StoreDump.OfAsync(next));
        }
        else
        {
            Assert.Equal(StoreOpeningState.Discarded, store.Opening.State);
            await RefillAsync(store);
            Assert.Equal(expected, await StoreDump.OfAsync(store));
        }
    }

    [Fact]
    public async Task Open_FolderInUse_RefusedInWords()
    {
        await using IReportStore first = await OpenAsync("a");

        StoreLockedException refused = await Assert.ThrowsAsync<StoreLockedException>(() => OpenAsync("a"));

        Assert.Contains("another process", refused.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Write_DiskFull_FaultsAndTheNextOpenStartsAfresh()
    {
        var room = new RoomLimit(200_000);
        IReportStore store = await LiteDbReportStore.OpenAsync(new PhysicalDisk(), Options("a"), ReportCodec.Decode, room.Wrap);
        StoreFaultedException full = await Assert.ThrowsAsync<StoreFaultedException>(() => FloodAsync(store));
        Assert.Contains("Nothing acknowledged is lost", full.Message, StringComparison.Ordinal);
        await store.DisposeAsync();
        store = null!;
        GC.Collect();
        GC.WaitForPendingFinalizers(); // A transaction left open would end the process here.

        await using IReportStore again = await OpenAsync("a");

        Assert.Equal(StoreOpeningState.Discarded, again.Opening.State);
        await RefillAsync(again);
    }

    [Fact]
    public async Task Write_ManyCallersAtOnce_EverythingIsThere()
    {
        await using IReportStore store = await OpenAsync("a");

        await Task.WhenAll(Enumerable.Range(0, 16).Select(async agent =>
        {
            var maker = new ReportMaker($"agent-{agent}");
            for (ulong sequence = 1; sequence <= 60; sequence += 3)
            {
                await store.WriteAsync([.. Enumerable.Range(0, 3).Select(i => maker.Temperature(sequence + (ulong)i, At((int)sequence + i), i))], default, Cancel);
                await store.ReadAsync(new ReportQuery(Item: KitId.Parse("box 1"), Limit: 20), Cancel);
            }
        }));

        Assert.All(await store.ReadWatermarksAsync(Cancel), mark => Assert.Equal(60UL, mark.Ranges.PrefixEnd));
        Assert.Equal(960, (await store.CountByKindAsync(Cancel))[ReportKind.TemperatureReading]);
    }

    [Fact]
    public async Task Call_AfterClose_Throws()
    {
        IReportStore store = await OpenAsync("a");
        await store.DisposeAsync();
        await store.DisposeAsync();

        await Assert.ThrowsAsync<ObjectDisposedException>(() => store.ListSeriesAsync(Cancel));
    }

    protected override Task<IReportStore> OpenEmptyAsync() => OpenAsync($"empty-{++_stores}");

    private async Task<IReportStore> OpenAsync(string name, StoreStamp? stamp = null) =>
        await LiteDbReportStore.OpenAsync(new PhysicalDisk(), Options(name, stamp), ReportCodec.Decode);

    private LiteDbStoreOptions Options(string name, StoreStamp? stamp = null) => new()
    {
        Folder = PathOf(name),
        Stamp = stamp ?? new StoreStamp(9, 1),
        SegmentReports = 50,
    };

    private async Task<string> FillAsync(string name)
    {
        await using IReportStore store = await OpenAsync(name);
        await RefillAsync(store);
        return await StoreDump.OfAsync(store);
    }

    private async Task RefillAsync(IReportStore store) =>
        await store.WriteAsync([.. Enumerable.Range(1, 30).Select(i => _maker.Note((ulong)i, At(i), $"wind {i}")), .. Mixture(1, 100)], default, Cancel);

    private async Task FloodAsync(IReportStore store)
    {
        for (ulong sequence = 1; sequence < 20_000; sequence++)
        {
            await store.WriteAsync([_maker.Note(sequence, At((int)sequence), $"note {sequence}")], default, Cancel);
        }
    }

    private string PathOf(params string[] parts) => Path.Combine([_root.FullName, .. parts]);
}
