using KitMesh.Disk;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.Reports;
using KitMesh.Storage;
using KitMesh.Storage.LiteDb;
using KitMesh.Storage.Postgres;
using KitMesh.Storage.Queries;
using KitMesh.Sync.Journal;
using KitMesh.TestKit.Storage;
using NodaTime;
using NodaTime.Testing;

namespace KitMesh.Tests.Storage.Postgres;

/// <summary>The contract on PostgreSQL, and what is its own: several hubs, partitions, versions, and a server that goes away.</summary>
public sealed class PostgresReportStoreTests(SharedPostgres shared) : ReportStoreContract, IClassFixture<SharedPostgres>
{
    [Fact]
    public async Task Write_SameReports_AnswersAsTheEmbeddedStore()
    {
        List<IncomingReport> reports = Mixture(seed: 21, count: 500);
        DirectoryInfo folder = Directory.CreateTempSubdirectory("kitmesh-store-");
        await using IReportStore lite = await LiteDbReportStore.OpenAsync(new PhysicalDisk(), new LiteDbStoreOptions { Folder = folder.FullName, Stamp = new StoreStamp(1, 1), SegmentReports = 50 }, ReportCodec.Decode);
        await lite.WriteAsync(reports, default, Cancel);
        await using IReportStore postgres = await OpenEmptyAsync();
        foreach (IncomingReport[] part in reports.Chunk(70).Reverse())
        {
            await postgres.WriteAsync(part, default, Cancel);
        }

        Assert.Equal(await StoreDump.OfAsync(lite), await StoreDump.OfAsync(postgres));
        await lite.DisposeAsync();
        folder.Delete(recursive: true);
    }

    [Fact]
    public async Task Open_Again_GoesOnWhereThisHubStopped()
    {
        string schema = shared.Server.NewSchema();
        await using (IReportStore store = await OpenAsync(schema, journal: 1))
        {
            Assert.Equal(new StoreOpening(StoreOpeningState.Fresh, JournalPosition.Start), store.Opening);
            await store.WriteAsync(Mixture(seed: 4, count: 60), new JournalPosition(3, 77), Cancel);
            await store.WriteAsync([], new JournalPosition(2, 900), Cancel);
        }

        await using IReportStore other = await OpenAsync(schema, journal: 2);
        await using IReportStore again = await OpenAsync(schema, journal: 1);

        Assert.Equal(new StoreOpening(StoreOpeningState.Kept, new JournalPosition(3, 77)), again.Opening);
        Assert.Equal(new StoreOpening(StoreOpeningState.Fresh, JournalPosition.Start), other.Opening);
    }

    [Fact]
    public async Task Write_TwoHubsTheSameReportsAtOnce_KeptAndRolledUpOnce()
    {
        List<IncomingReport> reports = Mixture(seed: 8, count: 600);
        string expected = await DumpOfOneAsync(reports);
        string schema = shared.Server.NewSchema();
        await using IReportStore one = await OpenAsync(schema, journal: 1);
        await using IReportStore two = await OpenAsync(schema, journal: 2);

        StoreReceipt[] receipts = [.. (await Task.WhenAll(FeedAsync(one, reports, seed: 1), FeedAsync(two, reports, seed: 2))).SelectMany(part => part)];

        Assert.Equal(600, receipts.Sum(receipt => receipt.Added));
        Assert.Equal(600, receipts.Sum(receipt => receipt.Duplicates));
        Assert.Equal(expected, await StoreDump.OfAsync(one));
        Assert.Equal(expected, await StoreDump.OfAsync(two));
    }

    [Fact]
    public async Task Write_FourHubsEachItsPart_OneSetAndTheSameRollUps()
    {
        List<IncomingReport> reports = Mixture(seed: 9, count: 800);
        string expected = await DumpOfOneAsync(reports);
        string schema = shared.Server.NewSchema();
        IReportStore[] hubs = await Task.WhenAll(Enumerable.Range(1, 4).Select(hub => OpenAsync(schema, (ulong)hub)));
        var random = new Random(3);
        ILookup<int, IncomingReport> parts = reports.ToLookup(_ => random.Next(hubs.Length));

        await Task.WhenAll(hubs.Select((hub, number) => FeedAsync(hub, [.. parts[number]], number)));

        Assert.All(await Task.WhenAll(hubs.Select(hub => StoreDump.OfAsync(hub))), dump => Assert.Equal(expected, dump));
        foreach (IReportStore hub in hubs)
        {
            await hub.DisposeAsync();
        }
    }

    [Fact]
    public async Task Retime_WhileAnotherHubWrites_SameAsOneAfterTheOther()
    {
        List<IncomingReport> reports = Mixture(seed: 12, count: 400);
        OriginId moved = reports[0].Raw.Key.Origin;
        Instant Time(Report report) => report.Written.Wall + Duration.FromHours(3);
        IncomingReport[] before = [.. reports.Where(report => report.Raw.Key.Origin == moved)];
        IncomingReport[] others = [.. reports.Where(report => report.Raw.Key.Origin != moved)];
        string expected = await DumpOfOneAsync([.. others, .. before.Select(report => report with { Timed = report.Timed with { Time = Time(report.Timed.Report) } })]);
        string schema = shared.Server.NewSchema();
        await using IReportStore one = await OpenAsync(schema, journal: 1);
        await using IReportStore two = await OpenAsync(schema, journal: 2);
        await one.WriteAsync(before, default, Cancel);

        await Task.WhenAll(one.RetimeAsync(new SequenceSpan(moved, 1, ulong.MaxValue), Time, Cancel), FeedAsync(two, others, seed: 5));

        Assert.Equal(expected, await StoreDump.OfAsync(two));
    }

    [Fact]
    public async Task Open_ManyHubsAtOnceIntoAnEmptyDatabase_OneSetOfTables()
    {
        string schema = shared.Server.NewSchema();

        IReportStore[] hubs = await Task.WhenAll(Enumerable.Range(1, 8).Select(hub => OpenAsync(schema, (ulong)hub)));

        Assert.All(hubs, hub => Assert.Equal(StoreOpeningState.Fresh, hub.Opening.State));
        Assert.Equal(1L, await shared.Server.AskAsync($"SELECT count(*) FROM {schema}.schema_version"));
        foreach (IReportStore hub in hubs)
        {
            await hub.DisposeAsync();
        }
    }

    [Fact]
    public async Task Write_WeeksAndDeadClocks_WeeksHavePartitionsAndOddTimesTheDefault()
    {
        string schema = shared.Server.NewSchema();
        var maker = new ReportMaker("ridge-agent");
        Instant[] times = [ReportMaker.Start, ReportMaker.Start - Duration.FromDays(70), Instant.FromUtc(1970, 1, 1, 0, 5), Instant.FromUtc(2099, 12, 31, 0, 0)];
        await using IReportStore store = await OpenAsync(schema, journal: 1);

        await store.WriteAsync([.. times.Select((time, i) => maker.Temperature((ulong)i + 1, time, -4))], default, Cancel);

        Assert.Equal(2L, await shared.Server.AskAsync($"SELECT count(*) FROM {schema}.report_other"));
        Assert.Equal(6L, await shared.Server.AskAsync($"SELECT count(*) FROM {schema}.report_week")); // This week, four ahead, and one ten weeks ago.
        Assert.Equal(4, (await store.ReadAsync(new ReportQuery(), Cancel)).Reports.Count);
    }

    [Fact]
    public async Task Write_WhenTheWeekOfStrayReportsComes_TheyMoveIntoIt()
    {
        string schema = shared.Server.NewSchema();
        var maker = new ReportMaker("ridge-agent");
        Instant later = ReportMaker.Start + Duration.FromDays(300);
        var world = new FakeClock(ReportMaker.Start);
        await using IReportStore store = await PostgresReportStore.OpenAsync(shared.Server.Options(schema, world: world), ReportCodec.Decode, Cancel);
        await store.WriteAsync([maker.Temperature(1, later, -4)], default, Cancel);
        Assert.Equal(1L, await shared.Server.AskAsync($"SELECT count(*) FROM {schema}.report_other"));
        world.Reset(later);

        Assert.Equal(new StoreReceipt(1, 1, 0), await store.WriteAsync([maker.Temperature(1, later, -4), maker.Temperature(2, later, -5)], default, Cancel));

        Assert.Equal(0L, await shared.Server.AskAsync($"SELECT count(*) FROM {schema}.report_other"));
        Assert.Equal(2, (await store.ReadAsync(new ReportQuery(), Cancel)).Reports.Count);
    }

    [Fact]
    public async Task Open_TablesOfANewerVersion_RefusedInWordsAndUntouched()
    {
        string schema = shared.Server.NewSchema();
        await (await OpenAsync(schema, journal: 1)).DisposeAsync();
        await shared.Server.RunAsync($"INSERT INTO {schema}.schema_version (version) VALUES (999)");

        StoreFaultedException refused = await Assert.ThrowsAsync<StoreFaultedException>(() => OpenAsync(schema, journal: 1));

        Assert.Contains("version 999", refused.Message, StringComparison.Ordinal);
        Assert.Contains("update this one", refused.Message, StringComparison.Ordinal);
        Assert.False(refused.MayPass);
    }

    [Fact]
    public async Task Open_NewerRules_EmptyTheDatabaseAndTheOlderHubIsTold()
    {
        string schema = shared.Server.NewSchema();
        List<IncomingReport> reports = Mixture(seed: 2, count: 50);
        await using IReportStore old = await OpenAsync(schema, journal: 1, fold: 1);
        await old.WriteAsync(reports, new JournalPosition(1, 50), Cancel);

        await using IReportStore newer = await OpenAsync(schema, journal: 2, fold: 2);

        Assert.Empty((await newer.ReadAsync(new ReportQuery(), Cancel)).Reports);
        await Assert.ThrowsAsync<StoreFaultedException>(() => old.WriteAsync(reports, default, Cancel));
        StoreFaultedException refused = await Assert.ThrowsAsync<StoreFaultedException>(() => OpenAsync(schema, journal: 1, fold: 1));
        Assert.Contains("update this one", refused.Message, StringComparison.Ordinal);
        await newer.WriteAsync(reports, default, Cancel);
        await using IReportStore updated = await OpenAsync(schema, journal: 1, fold: 2);
        Assert.Equal(StoreOpeningState.Fresh, updated.Opening.State);
        Assert.Equal(await DumpOfOneAsync(reports), await StoreDump.OfAsync(updated));
    }

    [Theory]
    [InlineData("poor", "postgres", "may not do what a store needs")]
    [InlineData("barred", "postgres", "does not let this user in")]
    [InlineData("hub", "nowhere", "no such database")]
    public async Task Open_Refused_SaysWhatToDo(string user, string database, string words)
    {
        StoreFaultedException refused = await Assert.ThrowsAsync<StoreFaultedException>(
            () => PostgresReportStore.OpenAsync(shared.Server.Options(shared.Server.NewSchema(), user: user, database: database), ReportCodec.Decode, Cancel));

        Assert.Contains(words, refused.Message, StringComparison.Ordinal);
        Assert.False(refused.MayPass);
    }

    [Fact]
    [System.Runtime.Versioning.UnsupportedOSPlatform("windows")]
    public async Task Open_PasswordFromAFile_LetsInAndIsInNoWords()
    {
        string file = Path.Combine(Path.GetTempPath(), $"kitmesh-password-{shared.Server.NewSchema()}-{Environment.ProcessId}");
        await File.WriteAllTextAsync(file, PostgresServer.AskedPassword + "\n", Cancel);
        File.SetUnixFileMode(file, UnixFileMode.UserRead | UnixFileMode.UserWrite);
        string schema = shared.Server.NewSchema();
        await shared.Server.RunAsync($"CREATE SCHEMA {schema} AUTHORIZATION asked");
        PostgresStoreOptions Options() => shared.Server.Options(schema) with { Address = shared.Server.Address(schema, "asked", passwordFile: file) };
        await using (IReportStore store = await PostgresReportStore.OpenAsync(Options(), ReportCodec.Decode, Cancel))
        {
            Assert.Equal(StoreOpeningState.Fresh, store.Opening.State);
        }

        await File.WriteAllTextAsync(file, "wrong-" + PostgresServer.AskedPassword, Cancel);
        StoreFaultedException refused = await Assert.ThrowsAsync<StoreFaultedException>(() => PostgresReportStore.OpenAsync(Options(), ReportCodec.Decode, Cancel));
        File.SetUnixFileMode(file, UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.OtherRead);
        StoreFaultedException open = await Assert.ThrowsAsync<StoreFaultedException>(() => PostgresReportStore.OpenAsync(Options(), ReportCodec.Decode, Cancel));
        File.Delete(file);

        Assert.Contains("does not let this user in", refused.Message, StringComparison.Ordinal);
        Assert.DoesNotContain(PostgresServer.AskedPassword, refused.ToString(), StringComparison.Ordinal);
        Assert.Contains("chmod 600", open.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Write_ServerCutOff_FaultsInWordsAndGoesOnFromTheDatabase()
    {
        Assert.SkipWhen(PostgresServer.Programs is null, PostgresServer.Missing);
        await using PostgresServer server = await PostgresServer.StartAsync();
        List<IncomingReport> reports = Mixture(seed: 30, count: 200);
        string expected = await DumpOfOneAsync(reports);
        await using (IReportStore store = await PostgresReportStore.OpenAsync(server.Options("trip"), ReportCodec.Decode, Cancel))
        {
            await store.WriteAsync(reports[..120], new JournalPosition(1, 120), Cancel);
            await server.CutAsync();

            StoreFaultedException gone = await Assert.ThrowsAsync<StoreFaultedException>(() => store.WriteAsync(reports[120..], new JournalPosition(1, 200), Cancel));
            Assert.True(gone.MayPass);
            Assert.Contains("Nothing acknowledged is lost", gone.Message, StringComparison.Ordinal);
            StoreFaultedException still = await Assert.ThrowsAsync<StoreFaultedException>(() => PostgresReportStore.OpenAsync(server.Options("trip"), ReportCodec.Decode, Cancel));
            Assert.True(still.MayPass);
            await server.ResumeAsync();
            Assert.Equal(120, (await StoreDump.AllAsync(store, new ReportQuery())).Count);
            await Assert.ThrowsAsync<StoreFaultedException>(() => store.WriteAsync([], default, Cancel));
        }

        await using IReportStore again = await PostgresReportStore.OpenAsync(server.Options("trip"), ReportCodec.Decode, Cancel);
        Assert.Equal(new JournalPosition(1, 120), again.Opening.AppliedTo);
        await again.WriteAsync(reports[100..], new JournalPosition(1, 200), Cancel);
        Assert.Equal(expected, await StoreDump.OfAsync(again));
    }

    protected override Task<IReportStore> OpenEmptyAsync() => OpenAsync(shared.Server.NewSchema(), journal: 9);

    private async Task<IReportStore> OpenAsync(string schema, ulong journal, int fold = 1) =>
        await PostgresReportStore.OpenAsync(shared.Server.Options(schema, journal, fold), ReportCodec.Decode, Cancel);

    private async Task<string> DumpOfOneAsync(IReadOnlyList<IncomingReport> reports)
    {
        await using IReportStore store = await OpenEmptyAsync();
        await store.WriteAsync(reports, default, Cancel);
        return await StoreDump.OfAsync(store);
    }

    private static async Task<List<StoreReceipt>> FeedAsync(IReportStore store, IReadOnlyList<IncomingReport> reports, int seed)
    {
        var random = new Random(seed);
        IncomingReport[] shuffled = [.. reports];
        random.Shuffle(shuffled);
        var receipts = new List<StoreReceipt>();
        foreach (IncomingReport[] part in shuffled.Chunk(25))
        {
            receipts.Add(await store.WriteAsync(part, default, Cancel));
        }

        return receipts;
    }
}
