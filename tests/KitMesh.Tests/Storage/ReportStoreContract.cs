using KitMesh.Domain.Exchange;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Storage;
using KitMesh.Storage.Queries;
using KitMesh.Storage.RollUps;
using KitMesh.Sync.Journal;
using KitMesh.TestKit.Storage;
using NodaTime;

namespace KitMesh.Tests.Storage;

/// <summary>What every store must do, whatever database is under it. A store's own tests derive from this class.</summary>
public abstract partial class ReportStoreContract
{
    private static readonly JournalPosition Here = new(1, 100);
    private readonly ReportMaker _ridge = new("ridge-agent");
    private readonly ReportMaker _hide = new("hide-agent");

    protected static CancellationToken Cancel => TestContext.Current.CancellationToken;

    /// <summary>A new, empty store.</summary>
    protected abstract Task<IReportStore> OpenEmptyAsync();

    [Fact]
    public async Task Write_SameReportsInAnyOrderGroupingAndNumber_SameAnswers()
    {
        List<IncomingReport> reports = Mixture(seed: 1, count: 400);
        await using IReportStore ordered = await OpenEmptyAsync();
        await ordered.WriteAsync(reports, Here, Cancel);
        string expected = await StoreDump.OfAsync(ordered);
        for (int seed = 2; seed < 8; seed++)
        {
            var random = new Random(seed);
            List<IncomingReport> shuffled = [.. reports, .. reports.Where(_ => random.Next(4) == 0)];
            random.Shuffle(System.Runtime.InteropServices.CollectionsMarshal.AsSpan(shuffled));
            await using IReportStore store = await OpenEmptyAsync();
            foreach (IncomingReport[] group in shuffled.Chunk(random.Next(1, 90)))
            {
                await store.WriteAsync(group, Here, Cancel);
            }

            Assert.Equal(expected, await StoreDump.OfAsync(store));
        }
    }

    [Fact]
    public async Task Write_Again_CountsDuplicatesAndChangesNothing()
    {
        await using IReportStore store = await OpenEmptyAsync();
        IncomingReport[] reports = [_ridge.Battery(1, ReportMaker.Start, 13.1), _ridge.Note(2, ReportMaker.Start, "wind")];

        Assert.Equal(new StoreReceipt(2, 0, 0), await store.WriteAsync(reports, Here, Cancel));
        string before = await StoreDump.OfAsync(store);
        Assert.Equal(new StoreReceipt(0, 2, 0), await store.WriteAsync(reports, Here, Cancel));

        Assert.Equal(before, await StoreDump.OfAsync(store));
    }

    [Fact]
    public async Task Write_SameSequenceOtherBytes_KeepsBothAsAFork()
    {
        await using IReportStore store = await OpenEmptyAsync();
        IncomingReport first = _ridge.Note(1, ReportMaker.Start, "the first");
        IncomingReport other = _ridge.Note(1, ReportMaker.Start, "another");
        await store.WriteAsync([first], Here, Cancel);

        StoreReceipt receipt = await store.WriteAsync([other, first, other], Here, Cancel);

        Assert.Equal(new StoreReceipt(0, 2, 1), receipt);
        ReportPage page = await store.ReadAsync(new ReportQuery(), Cancel);
        Assert.Equal(2, page.Reports.Count);
        Assert.Equal(1, Assert.Single(await store.ReadWatermarksAsync(Cancel)).Forks);
        Assert.Equal(2, (await store.CountByKindAsync(Cancel))[ReportKind.Note]);
    }

    [Fact]
    public async Task Watermarks_GapFilled_OneRange()
    {
        await using IReportStore store = await OpenEmptyAsync();
        await store.WriteAsync([_ridge.Note(1, At(0), "a"), _ridge.Note(3, At(9), "c"), _ridge.Note(4, At(4), "d")], Here, Cancel);
        Watermark gapped = Assert.Single(await store.ReadWatermarksAsync(Cancel));
        Assert.Equal(SequenceRanges.FromUnordered([new(1, 1), new(3, 4)]), gapped.Ranges);

        await store.WriteAsync([_ridge.Note(2, At(1), "b")], Here, Cancel);

        Watermark whole = Assert.Single(await store.ReadWatermarksAsync(Cancel));
        Assert.Equal(SequenceRanges.Of(1, 4), whole.Ranges);
        Assert.Equal(At(0), whole.Oldest);
        Assert.Equal(At(9), whole.Newest);
        Assert.Equal(At(9) + Duration.FromSeconds(2), whole.LastArrival);
    }

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public async Task Read_ByKindItemAndTime_AgreesWithPlainFilter(bool newestFirst)
    {
        List<IncomingReport> reports = Mixture(seed: 11, count: 300);
        await using IReportStore store = await OpenEmptyAsync();
        await store.WriteAsync(reports, Here, Cancel);
        var query = new ReportQuery(
            Kinds: [ReportKind.TemperatureReading, ReportKind.BatteryReading],
            Item: KitId.Parse("box 1"),
            From: At(600),
            Until: At(9_000),
            Limit: 5,
            NewestFirst: newestFirst);

        IEnumerable<ReportKey> found = (await StoreDump.AllAsync(store, query)).Select(report => report.Raw.Key);

        List<ReportKey> expected =
        [
            .. reports
                .Where(report => report.Timed.Report.Body is TemperatureReading { Subject.Value: "box 1" })
                .Where(report => report.Timed.Time >= At(600) && report.Timed.Time < At(9_000))
                .OrderBy(report => report.Timed)
                .Select(report => report.Raw.Key),
        ];
        Assert.NotEmpty(expected);
        Assert.Equal(newestFirst ? Enumerable.Reverse(expected) : expected, found);
    }

    [Fact]
    public async Task ReadOrigin_FromSequence_GivesTheOriginalBytesInOrder()
    {
        List<IncomingReport> reports = [.. Enumerable.Range(1, 60).Select(i => _ridge.Note((ulong)i, At(600 - i), $"note {i}"))];
        await using IReportStore store = await OpenEmptyAsync();
        await store.WriteAsync([.. reports.AsEnumerable().Reverse(), _hide.Note(1, At(0), "other")], Here, Cancel);

        IReadOnlyList<KeptReport> all = await store.ReadOriginAsync(_ridge.Origin, 41, long.MaxValue, Cancel);
        IReadOnlyList<KeptReport> few = await store.ReadOriginAsync(_ridge.Origin, 41, 1, Cancel);

        Assert.Equal(Enumerable.Range(41, 20).Select(i => (ulong)i), all.Select(report => report.Raw.Key.Sequence));
        Assert.All(all, report => Assert.True(report.Raw.Bytes.Span.SequenceEqual(reports[(int)report.Raw.Key.Sequence - 1].Raw.Bytes.Span)));
        Assert.Equal(41UL, Assert.Single(few).Raw.Key.Sequence);
    }

    [Fact]
    public async Task RollUps_RestlessHour_AreWeightedByTime()
    {
        // 0 degrees for 50 minutes in one reading, then 10 minutes of 30 degrees in ten readings: 5 degrees over the hour,
        // and not the 27 that a mean over readings gives.
        Instant hour = Instant.FromUtc(2027, 2, 14, 18, 0);
        await using IReportStore store = await OpenEmptyAsync();
        List<IncomingReport> reports = [_ridge.Temperature(1, hour, 0)];
        reports.AddRange(Enumerable.Range(0, 11).Select(i => _ridge.Temperature((ulong)i + 2, hour + Duration.FromMinutes(50 + i), 30)));
        await store.WriteAsync(reports, Here, Cancel);

        RollUp rollUp = Assert.Single(await store.ReadRollUpsAsync(new RollUpQuery(BoxSeries, RollUpSpan.Hour, hour, hour + Duration.FromHours(1)), Cancel));

        Assert.Equal(new RollUp(hour, RollUpSpan.Hour, 11, 0, 5, 30, 30, Duration.FromHours(1)), rollUp);
    }

    [Fact]
    public async Task RollUps_AnyReadings_AgreeWithCountingSeconds()
    {
        var random = new Random(5);
        List<IncomingReport> reports = [];
        int second = 0;
        for (ulong sequence = 1; sequence <= 250; sequence++)
        {
            second += random.Next(6) == 0 ? random.Next(20_000) : random.Next(200);
            reports.Add(_ridge.Temperature(sequence, At(second), random.Next(-30, 30)));
        }

        await using IReportStore store = await OpenEmptyAsync();
        await store.WriteAsync(reports, Here, Cancel);
        foreach (RollUpSpan span in Enum.GetValues<RollUpSpan>())
        {
            IReadOnlyList<RollUp> rollUps = await store.ReadRollUpsAsync(new RollUpQuery(BoxSeries, span, At(-99_999), At(second + 99_999)), Cancel);
            List<RollUp> counted = SecondCount.RollUps(reports, span, Duration.FromHours(1));
            Assert.Equal(counted.Count, rollUps.Count);
            foreach ((RollUp expected, RollUp actual) in counted.Zip(rollUps))
            {
                Assert.Equal(expected with { Mean = 0 }, actual with { Mean = 0 });
                Assert.Equal(expected.Mean, actual.Mean, 9);
            }
        }
    }

    [Fact]
    public async Task Retime_NewOffset_SameAsIfItHadAlwaysHeld()
    {
        List<IncomingReport> reports = Mixture(seed: 3, count: 250);
        Instant Moved(Report report) => report.Written.Wall + Duration.FromSeconds(4_000 + (report.Key.Sequence % 3));
        await using IReportStore moved = await OpenEmptyAsync();
        await moved.WriteAsync(reports, Here, Cancel);
        await using IReportStore straight = await OpenEmptyAsync();
        await straight.WriteAsync(
            [.. reports.Select(report => IsMoved(report) ? report with { Timed = report.Timed with { Time = Moved(report.Timed.Report) } } : report)],
            Here,
            Cancel);

        await moved.RetimeAsync(new SequenceSpan(_ridge.Origin, 20, 90), Moved, Cancel);

        Assert.Equal(await StoreDump.OfAsync(straight), await StoreDump.OfAsync(moved));

        bool IsMoved(IncomingReport report) => report.Raw.Key.Origin == _ridge.Origin && report.Raw.Key.Sequence is >= 20 and <= 90;
    }

    [Fact]
    public async Task Write_OddReports_AreKeptAndLeftOutOfRollUps()
    {
        Instant dead = Instant.FromUtc(1970, 1, 1, 0, 5);
        Instant future = Instant.FromUtc(2099, 12, 31, 23, 59);
        var unknown = new RawReport(new ReportKey(_hide.Origin, 1), Convert.FromHexString("FA0F0401020304"));
        IncomingReport[] odd =
        [
            _ridge.Temperature(1, dead, -20),
            _ridge.Temperature(2, future, -21),
            _ridge.Temperature(3, At(0), double.NaN),
            _ridge.Temperature(4, At(60), double.PositiveInfinity),
            _ridge.Temperature(5, At(120), -400),
            _ridge.Battery(6, At(120), 1e300),
            new(unknown, new TimedReport(KitMesh.Protocol.Reports.ReportCodec.Decode(unknown), At(0), default), At(0)),
        ];
        await using IReportStore store = await OpenEmptyAsync();

        Assert.Equal(new StoreReceipt(7, 0, 0), await store.WriteAsync(odd, Here, Cancel));

        IReadOnlyList<KeptReport> kept = await StoreDump.AllAsync(store, new ReportQuery());
        Assert.Equal([dead, At(0), At(0), At(60), At(120), At(120), future], kept.Select(report => report.Time));
        Assert.Equal(1, (await store.CountByKindAsync(Cancel))[ReportKind.Unknown]);
        IReadOnlyList<RollUp> now = await store.ReadRollUpsAsync(new RollUpQuery(BoxSeries, RollUpSpan.Minute, At(-600), At(600)), Cancel);
        Assert.Empty(now);
        RollUp then = Assert.Single(await store.ReadRollUpsAsync(new RollUpQuery(BoxSeries, RollUpSpan.Minute, dead, dead + Duration.FromMinutes(1)), Cancel));
        Assert.Equal(-20, then.Last);
        Assert.DoesNotContain(new SeriesKey(KitId.Parse("ridge bank"), SeriesQuantity.PackVolts), await store.ListSeriesAsync(Cancel));
        Assert.Contains(new SeriesKey(KitId.Parse("ridge bank"), SeriesQuantity.PackAmperes), await store.ListSeriesAsync(Cancel));
    }

    [Theory]
    [InlineData(false, null)]
    [InlineData(true, null)]
    [InlineData(false, "box 1")]
    [InlineData(true, "box 1")]
    public async Task Read_PageEndsInsideAFork_GivesEachReportOnce(bool newestFirst, string? item)
    {
        await using IReportStore store = await OpenEmptyAsync();
        IncomingReport[] reports =
        [
            _ridge.Temperature(1, At(0), -30),
            .. Enumerable.Range(1, 9).Select(degrees => _ridge.Temperature(2, At(40), -degrees)),
            _ridge.Temperature(3, At(80), -31),
        ];
        await store.WriteAsync(reports, Here, Cancel);

        for (int limit = 1; limit <= reports.Length + 1; limit++)
        {
            var query = new ReportQuery(Item: item is null ? null : KitId.Parse(item), Limit: limit, NewestFirst: newestFirst);
            IReadOnlyList<KeptReport> found = await StoreDump.AllAsync(store, query);
            Assert.Equal(
                reports.Select(report => Sha256Hash.Of(report.Raw.Bytes.Span)).Order(),
                found.Select(report => Sha256Hash.Of(report.Raw.Bytes.Span)).Order());
            Assert.Equal(newestFirst ? found.Select(report => report.Time).OrderDescending() : found.Select(report => report.Time).Order(), found.Select(report => report.Time));
        }
    }

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public async Task Read_TimesPastWhatNanosecondsHold_AreFound(bool newestFirst)
    {
        await using IReportStore store = await OpenEmptyAsync();
        await store.WriteAsync([_ridge.Note(1, Instant.FromUtc(2300, 1, 1, 0, 0), "last"), _ridge.Note(2, Instant.FromUtc(1600, 1, 1, 0, 0), "first"), _ridge.Note(3, At(0), "now")], Here, Cancel);

        IReadOnlyList<KeptReport> found = await StoreDump.AllAsync(store, new ReportQuery(Limit: 1, NewestFirst: newestFirst));

        ulong[] inTime = [2, 3, 1];
        Assert.Equal(newestFirst ? Enumerable.Reverse(inTime) : inTime, found.Select(report => report.Raw.Key.Sequence));
    }

    [Fact]
    public async Task Read_LimitOutOfRange_Throws()
    {
        await using IReportStore store = await OpenEmptyAsync();

        await Assert.ThrowsAsync<ArgumentOutOfRangeException>(() => store.ReadAsync(new ReportQuery(Limit: 0), Cancel));
        await Assert.ThrowsAsync<ArgumentOutOfRangeException>(() => store.ReadAsync(new ReportQuery(Limit: StoreLimits.MaxPage + 1), Cancel));
        await Assert.ThrowsAsync<ArgumentOutOfRangeException>(
            () => store.ReadRollUpsAsync(new RollUpQuery(BoxSeries, RollUpSpan.Minute, At(0), At(0) + Duration.FromDays(71)), Cancel));
    }

    protected static SeriesKey BoxSeries { get; } = new(KitId.Parse("box 1"), SeriesQuantity.Temperature, "probe");

    protected static Instant At(int seconds) => ReportMaker.Start + Duration.FromSeconds(seconds);

    /// <summary>Reports of two origins that measure the same box, with equal times, gaps and forks.</summary>
    protected List<IncomingReport> Mixture(int seed, int count)
    {
        var random = new Random(seed);
        var reports = new List<IncomingReport>();
        ulong[] next = [1, 1];
        for (int i = 0; i < count; i++)
        {
            int who = random.Next(2);
            ReportMaker maker = who == 0 ? _ridge : _hide;
            Instant time = At((i * 40) + (random.Next(10) * 40) - 200);
            ulong sequence = next[who]++;
            reports.Add(random.Next(5) switch
            {
                0 => maker.Note(sequence, time, $"note {i}"),
                1 => maker.Battery(sequence, time, 12 + random.NextDouble()),
                2 => maker.Temperature(sequence, time, random.Next(-30, 10), "tent"),
                _ => maker.Temperature(sequence, time, random.Next(-30, 10)),
            });
            next[who] += random.Next(12) == 0 ? 2UL : 0;
        }

        return reports;
    }
}
