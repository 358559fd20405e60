using System.Threading.Channels;
using KitMesh.Devices;
using KitMesh.Devices.BackupStation;
using KitMesh.Devices.Options;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.TestKit.Offload;
using KitMesh.Tests.Offload.Faults;
using NodaTime;

namespace KitMesh.Tests.Devices.BackupStation;

/// <summary>A station on real folders.</summary>
public sealed class BackupStationReaderTests : IAsyncDisposable
{
    private readonly OffloadStage _stage = new();
    private CancellationTokenSource _stop = new();
    private readonly Sink _sink = new();
    private Task _running = Task.CompletedTask;
    private Func<ReaderContext, ReaderContext> _context = static context => context;

    public async ValueTask DisposeAsync()
    {
        await StopAsync();
        _stage.Dispose();
        _stop.Dispose();
    }

    [Fact]
    public async Task Card_ThatIsThere_IsOffloadedToAllDrivesAndTold()
    {
        _stage.Put("DCIM/a.mov", 2_000_000, 1);
        _stage.Put("DCIM/b.wav", 3000, 2);
        Start(Config());

        List<ReportBody> seen = await UntilAsync(all => all.OfType<CopyVerified>().Count() == 6);

        CardSeen card = seen.OfType<CardSeen>().Single();
        Assert.Equal(("card h1", "hide camera", 2), (card.Card.Value, card.Source!.Value.Value, card.Files));
        Assert.Equal(2, seen.OfType<ClipFound>().Count());
        Assert.Equal(6, seen.OfType<CopyMade>().Count());
        Assert.Equal(["drive 1", "drive 2", "drive 3"], seen.OfType<DriveState>().Select(state => state.Drive.Value).Distinct().Order());
        Assert.Empty(seen.OfType<CardFormatted>());
        Assert.All(_stage.Drives, drive => Assert.Equal(2, OffloadStage.FilesOf(drive).Count));
    }

    [Fact]
    public async Task Card_ThatComesBackWithOtherFiles_WasFormatted()
    {
        string old = _stage.Put("DCIM/a.mov", 5000, 1);
        Start(Config());
        await UntilAsync(all => all.OfType<CopyVerified>().Count() == 3);

        // In the camera: formatted, and filmed again under the same name.
        File.Delete(old);
        _stage.Put("DCIM/a.mov", 6000, 2);
        List<ReportBody> seen = await UntilAsync(all => all.OfType<CopyVerified>().Count() == 6);

        CardFormatted formatted = seen.OfType<CardFormatted>().Single();
        List<CardSeen> visits = [.. seen.OfType<CardSeen>()];
        Assert.True(formatted.Inferred);
        Assert.Equal(visits[0].Insertion, formatted.LastInsertion);
        Assert.NotEqual(visits[0].Insertion, visits[1].Insertion);
        Assert.All(_stage.Drives, drive => Assert.Equal(2, OffloadStage.FilesOf(drive).Count));
    }

    [Fact]
    public async Task Card_WithOneMoreFile_IsTheSameCardAndOnlyTheNewFileIsCopied()
    {
        _stage.Put("DCIM/a.mov", 5000, 1);
        Start(Config());
        await UntilAsync(all => all.OfType<CopyVerified>().Count() == 3);

        _stage.Put("DCIM/b.mov", 6000, 2);
        List<ReportBody> seen = await UntilAsync(all => all.OfType<ClipFound>().Count(clip => clip.Path == "DCIM/b.mov") == 1 && all.OfType<CopyVerified>().Count(copy => copy.Path.EndsWith("b.mov", StringComparison.Ordinal)) == 3);

        Assert.Empty(seen.OfType<CardFormatted>());
    }

    [Fact]
    public async Task Drive_ThatComesLater_GetsWhatIsMissing()
    {
        _stage.Put("DCIM/a.mov", 5000, 1);
        string late = _stage.Drives[2];
        Directory.Delete(late);
        Start(Config());
        await UntilAsync(all => all.OfType<CopyVerified>().Count() == 2);

        Directory.CreateDirectory(late);
        List<ReportBody> seen = await UntilAsync(all => all.OfType<CopyVerified>().Any(copy => copy.Drive.Value == "drive 3"));

        Assert.Contains(seen.OfType<CopyMade>(), made => made.Drive.Value == "drive 3");
        Assert.Single(OffloadStage.FilesOf(late));
    }

    [Fact]
    public async Task Drive_InTheWrongPlaceOrTooHigh_GetsNothingAndSaysWhy()
    {
        _stage.Put("DCIM/a.mov", 5000, 1);
        Directory.CreateDirectory(Path.Combine(_stage.Drives[0], ".kitmesh"));
        await File.WriteAllTextAsync(Path.Combine(_stage.Drives[0], ".kitmesh/drive.json"), """{"version":1,"drive":"drive 9","identity":"00000000000000aa"}""", _stop.Token);
        Start(Config("altitude: 3900 m", "maxAltitude: 3050 m"));

        List<ReportBody> seen = await UntilAsync(all => all.OfType<CopyVerified>().Any() && all.OfType<ReaderFault>().Count() >= 2);

        Assert.Contains(seen.OfType<ReaderFault>(), fault => fault.Message.Contains("drive 9", StringComparison.Ordinal));
        Assert.Contains(seen.OfType<ReaderFault>(), fault => fault.Message.Contains("3050 m", StringComparison.Ordinal));
        Assert.Equal(["drive 3"], seen.OfType<CopyVerified>().Select(copy => copy.Drive.Value).Distinct());
    }

    [Fact]
    public async Task Drive_ThatDoesNotAnswer_IsNamedAndTheOthersGetTheirCopies()
    {
        if (LoopDrive.Make("ext4", 100, out string why) is not { } hanging)
        {
            Assert.Skip($"No ext4 on a loop device here: {why}.");
            return;
        }

        using (hanging)
        {
            Directory.CreateDirectory(Path.Combine(hanging.Folder, ".kitmesh"));
            await File.WriteAllTextAsync(Path.Combine(hanging.Folder, ".kitmesh/drive.json"), """{"version":1,"drive":"drive 2","identity":"00000000000000aa"}""", _stop.Token);
            Assert.True(hanging.Replug());
            _stage.Drives[1] = hanging.Folder;
            _stage.Put("DCIM/a.mov", 5000, 1);
            Action release = StandstillOfReads.Of(hanging).Begin();
            try
            {
                Start(Config("patience: 1 s"));

                List<ReportBody> seen = await UntilAsync(all => all.OfType<CopyVerified>().Count() == 2 && all.OfType<ReaderFault>().Any(fault => !fault.Cleared));
                Assert.Contains(seen.OfType<ReaderFault>(), fault => fault.Message.StartsWith($"drive 2 at {hanging.Folder} has not answered for 1 s", StringComparison.Ordinal));
            }
            finally
            {
                release();
            }

            // It answers again: its fault is over, and it gets what is missing.
            await UntilAsync(all => all.OfType<ReaderFault>().Any(fault => fault.Cleared) && all.OfType<CopyVerified>().Any(copy => copy.Drive.Value == "drive 2"));
            await StopAsync();
        }
    }

    [Fact]
    public async Task Restart_InTheSameVisit_KeepsTheVisitsName()
    {
        _stage.Put("DCIM/a.mov", 5000, 1);
        Start(Config());
        List<ReportBody> before = await UntilAsync(all => all.OfType<CopyVerified>().Count() == 3 && _sink.Flushes > 0);
        await StopAsync();
        Start(Config());

        List<ReportBody> after = await UntilAsync(all => all.OfType<CardSeen>().Count() == 2);

        Assert.Single(after.OfType<CardSeen>().Select(card => card.Insertion).Distinct());
        Assert.Empty(after.OfType<CardFormatted>());
        Assert.NotEmpty(before);
    }

    [Fact]
    public async Task Copies_NotProvenForLonger_AreReadAgainByThemselvesAndRotIsTold()
    {
        await OffloadThenForgetAsync();
        string rotten = Directory.EnumerateFiles(_stage.Drives[1], "a.mov", SearchOption.AllDirectories).Single();
        await File.WriteAllBytesAsync(rotten, OffloadStage.Noise(5000, 9), TestContext.Current.CancellationToken);
        Start(Config("recheck: { age: 1 h, ahead: 0 s, every: 1 s }"));

        List<ReportBody> seen = await UntilAsync(all => all.OfType<CopyVerified>().Count(copy => copy.Recheck) == 2 && all.OfType<ReaderFault>().Any(fault => !fault.Cleared));

        Assert.Equal(["drive 1", "drive 3"], seen.OfType<CopyVerified>().Where(copy => copy.Recheck).Select(copy => copy.Drive.Value).Order());
        Assert.Contains(seen.OfType<CopyFailed>(), failed => failed.Drive?.Value == "drive 2" && failed.Failure == CopyFailure.HashDiffers);
        Assert.Contains(seen.OfType<ReaderFault>(), fault => fault.Message.Contains("--repair-from", StringComparison.Ordinal));
    }

    [Fact]
    public async Task Copies_DueByTheTripFile_AreReadAgain()
    {
        await OffloadThenForgetAsync();
        _context = context => context with { RecheckAgeIn = file => file == "/trip.yaml" ? Duration.FromDays(2) : null };
        Start(Config("recheck: { trip: /trip.yaml, every: 1 s }"));

        await UntilAsync(all => all.OfType<CopyVerified>().Count(copy => copy.Recheck) == 3);
    }

    [Theory]
    [InlineData("bank: main bank", 0.3, "holds 30 %")]
    [InlineData("bank: main bank", null, "nobody here says")]
    public async Task Copies_DueWhileTheBankIsLowOrUnknown_WaitAndSayWhy(string limit, double? charge, string words)
    {
        await OffloadThenForgetAsync();
        double? now = charge;
        _context = context => context with
        {
            BatteryNow = bank => now is { } held ? new BatteryReading(bank, null, null, null, new StateOfCharge(held), []) : null,
        };
        Start(Config($"recheck: {{ age: 1 h, every: 1 s, {limit} }}"));

        List<ReportBody> seen = await UntilAsync(all => all.OfType<ReaderFault>().Count(fault => !fault.Cleared) == 3);
        Assert.DoesNotContain(seen.OfType<CopyVerified>(), copy => copy.Recheck);
        Assert.All(seen.OfType<ReaderFault>().Where(fault => !fault.Cleared), fault => Assert.Contains(words, fault.Message, StringComparison.Ordinal));

        // The sun came: they are read, and the waiting is over.
        int cleared = seen.OfType<ReaderFault>().Count(fault => fault.Cleared);
        now = 0.9;
        await UntilAsync(all => all.OfType<CopyVerified>().Count(copy => copy.Recheck) == 3 && all.OfType<ReaderFault>().Count(fault => fault.Cleared) >= cleared + 3);
    }

    [Fact]
    public async Task Copies_MoreThanTheDaysEnergyPaysFor_WaitForAnotherDay()
    {
        await OffloadThenForgetAsync(1_000_000);

        // A megabyte costs 20 J at 20,000 J/GB: 0.01 Wh (36 J) pay for one drive, and the rest of it for none.
        Start(Config("recheck: { age: 1 h, every: 1 s, energy: 0.01 Wh, joulesPerGb: 20000 J }"));

        List<ReportBody> seen = await UntilAsync(all => all.OfType<CopyVerified>().Any(copy => copy.Recheck) && all.OfType<DriveState>().Count() >= 6);
        Assert.Equal("drive 1", Assert.Single(seen.OfType<CopyVerified>(), copy => copy.Recheck).Drive.Value);
    }

    [Fact]
    public async Task Drive_WhileItsStationIsMetered_LearnsWhatAGigabyteCosts()
    {
        _stage.Put("DCIM/a.mov", 60_000_000, 1);
        _context = context => context with { LoadNow = load => new LoadReading(load, default, null, new Watts(26), null, null) };
        Start(Config("power: { load: station board, idle: 6 W }"));

        await UntilAsync(all => all.OfType<CopyVerified>().Count() == 3 && _sink.Flushes > 0);
        foreach (string drive in _stage.Drives)
        {
            Assert.InRange(KitMesh.Offload.Drives.MoveCost.Of(drive)!.Value.Value, 0.1, 1e6);
        }

        // And tells it with the drive's state.
        Assert.NotNull(KitMesh.Offload.Drives.DriveGlance.At(_stage.Drives[0])!.MoveCost);
    }

    [Theory]
    [InlineData("recheck: { every: 1 h }", "recheck.age")]
    [InlineData("recheck: { age: 14 d, trip: x.yaml }", "recheck.age")]
    [InlineData("recheck: { age: 14 d, evry: 1 h }", "recheck.evry")]
    [InlineData("recheck: { age: 14 d, leastCharge: 120 % }", "recheck.leastCharge")]
    [InlineData("power: { idle: 6 W }", "power.load")]
    public void Configure_WrongRecheckOrPower_NamesTheKey(string section, string key)
    {
        List<OptionProblem> problems = [];
        OptionMap map = OptionMap.Parse("agent.yaml", Config(section), problems)!;
        map.OptionalText("name");
        map.OptionalText("kind");

        Assert.Null(new BackupStationReaderKind().Configure("s", map));
        Assert.Equal([key], problems.Select(problem => problem.Key).Distinct());
    }

    [Fact]
    public void Configure_WrongOptions_NamesKeyAndMend()
    {
        List<OptionProblem> problems = [];
        OptionMap map = OptionMap.Parse("agent.yaml", "name: s\nkind: backup-station\ncards: [{ name: c, folder: /x, colour: red }]\nhashes: [crc]\ntemplate: '{day}'\n", problems)!;
        map.OptionalText("name");
        map.OptionalText("kind");

        Assert.Null(new BackupStationReaderKind().Configure("s", map));
        Assert.Contains(problems, problem => problem.Key == "cards[0].colour");
        Assert.Contains(problems, problem => problem.Key == "drives");
        Assert.Contains(problems, problem => problem.Key == "hashes");
        Assert.Contains(problems, problem => problem.Key == "template");
    }

    // Offloads a card, takes it out, and makes every proof three days old.
    private async Task OffloadThenForgetAsync(int size = 5000)
    {
        string file = _stage.Put("DCIM/a.mov", size, 1);
        Start(Config());
        await UntilAsync(all => all.OfType<CopyVerified>().Count() == 3 && _sink.Flushes > 0);
        await StopAsync();
        File.Delete(file);
        Directory.Delete(Path.GetDirectoryName(file)!);
        foreach (string drive in _stage.Drives)
        {
            string list = KitMesh.Offload.Drives.OpenDrive.ListOf(drive);
            byte[] aged = [.. KitMesh.Offload.Drives.CopyList.Peek(list).SelectMany(copy => KitMesh.Offload.Drives.CopyLine.Write(copy with { Verified = copy.Verified - Duration.FromDays(3) }))];
            await File.WriteAllBytesAsync(list, aged, TestContext.Current.CancellationToken);
        }

        _sink.All.Clear();
    }

    private string Config(string more = "", string second = "") => $"""
        name: station
        kind: backup-station
        interval: 100 ms
        settle: 0 s
        {more}
        cards:
          - name: card h1
            source: hide camera
            folder: {_stage.Card}
        drives:
          - name: drive 1
            folder: {_stage.Drives[0]}
            prepare: true
          - name: drive 2
            folder: {_stage.Drives[1]}
            prepare: true
            {second}
          - name: drive 3
            folder: {_stage.Drives[2]}
            prepare: true
        """;

    private void Start(string config)
    {
        List<OptionProblem> problems = [];
        OptionMap map = OptionMap.Parse("agent.yaml", config, problems)!;
        map.OptionalText("name");
        map.OptionalText("kind");
        ReaderFactory? make = new BackupStationReaderKind().Configure("station", map);
        map.RefuseUnknownKeys();
        Assert.Empty(problems);
        IReader reader = make!(_context(new ReaderContext(TimeProvider.System, TimeProvider.System, new Clock(), Path.Combine(_stage.Root, "state"), static () => { })));
        _running = Task.Run(() => reader.RunAsync(_sink, _stop.Token), CancellationToken.None);
    }

    private async Task StopAsync()
    {
        await _stop.CancelAsync();
        try
        {
            await _running;
        }
        catch (OperationCanceledException)
        {
            // As asked.
        }

        _stop.Dispose();
        _stop = new CancellationTokenSource();
    }

    private async Task<List<ReportBody>> UntilAsync(Predicate<List<ReportBody>> enough)
    {
        while (!enough(_sink.All))
        {
            if (_running.IsCompleted)
            {
                await _running;
            }

            _sink.All.Add(await _sink.Channel.Reader.ReadAsync(TestContext.Current.CancellationToken));
        }

        return [.. _sink.All];
    }

    private sealed class Sink : ISampleSink
    {
        public Channel<ReportBody> Channel { get; } = System.Threading.Channels.Channel.CreateUnbounded<ReportBody>();

        public List<ReportBody> All { get; } = [];

        public int Flushes { get; private set; }

        public ValueTask WriteAsync(Sample sample, CancellationToken stop) => Channel.Writer.WriteAsync(sample.Body, stop);

        public ValueTask FlushAsync(CancellationToken stop)
        {
            Flushes++;

            // Wakes a reader that waits for the flush.
            return Channel.Writer.WriteAsync(new Note("station", null, "flushed"), stop);
        }
    }

    private sealed class Clock : IDeviceClock
    {
        public ClockTrust Trust => ClockTrust.PersonSet;

        public DeviceTime Read() => new(SystemClock.Instance.GetCurrentInstant(), new BootId(7), System.Diagnostics.Stopwatch.GetTimestamp());
    }
}
