using System.Text.Json.Nodes;
using Google.Protobuf;
using Grpc.Net.Client;
using KitMesh.Cli.Clocks;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Protocol.Exchange;
using KitMesh.Protocol.Reports;
using KitMesh.TestKit.Footage;
using KitMesh.TestKit.Hub;
using NodaTime;
using static KitMesh.TestKit.Footage.FootageHistory;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Tests.Cli.Keeping;

/// <summary>What a keeper asks and writes, against a real hub over a real socket.</summary>
public sealed class LedgerVerbTests : IDisposable
{
    private readonly FootageHistory _history = new FootageHistory().DeclareRidgeKit(copies: 2, drives: 2, cases: 2);
    private readonly StringWriter _output = new();
    private readonly StringWriter _error = new();
    private readonly StopRequest _stop = new();
    private readonly string _folder = Directory.CreateTempSubdirectory("kitmesh-verbs-").FullName;

    private static readonly Place RidgeCamp = new(Id("ridge camp"), new(36), new(74), new(3_900), new(-28), new(-6), 0.6, 0.7, []);

    public LedgerVerbTests() => _history
        .See("card 1", "v1", 3)
        .Find("card 1", "v1", 1).Find("card 1", "v1", 2).Find("card 1", "v1", 3)
        .Verified(1, "drive A").Verified(1, "drive B").Verified(2, "drive A");

    public void Dispose()
    {
        _stop.Dispose();
        Directory.Delete(_folder, recursive: true);
    }

    [Fact]
    public async Task Release_WithoutConfirmation_ShowsWhatMayBeLostAndWritesNothing()
    {
        await using TestHub hub = await StartAsync();

        Assert.Equal(ExitCode.BadNews, await RunAsync(hub, "ledger", "release", "card 1", "--reason", "the river took case 2", "--author", "lead"));

        string said = _output.ToString();
        Assert.Contains("2 of 3 clips are short of proof", said, StringComparison.Ordinal);
        Assert.Contains("1 with no proven copy, 1 with one proven copy", said, StringComparison.Ordinal);
        Assert.Contains("--confirm \"card 1\" --losing 2", said, StringComparison.Ordinal);
        Assert.Equal("onHold", (await CardAsync(hub))["state"]!.ToString());
    }

    [Fact]
    public async Task Forecast_Typed_IsWrittenAndTakenBack()
    {
        _history.Declare(RidgeCamp);
        await using TestHub hub = await StartAsync();

        Assert.Equal(ExitCode.Good, await RunAsync(hub, "forecast", "--place", "ridge camp", "--day", "2027-02-14", "--sky", "0.4", "--night", "-24", "--trust", "0.7"));
        Assert.Contains("ridge camp 2027-02-14: sky 0.4, night -24 °C, trust 0.7: written", _output.ToString(), StringComparison.Ordinal);

        Assert.Equal(ExitCode.Good, await RunAsync(hub, "forecast", "--json", "--place", "ridge camp", "--day", "2027-02-14", "--sky", "0.4", "--withdraw"));
        Assert.True((bool)LastJson()["withdrawn"]!);
    }

    [Fact]
    public async Task Forecast_PlaceThatNobodyDeclared_IsRefusedWithTheNamesOfThoseThatAre()
    {
        _history.Declare(RidgeCamp);
        await using TestHub hub = await StartAsync();

        Assert.Equal(ExitCode.BadInput, await RunAsync(hub, "forecast", "--place", "rigde camp", "--day", "2027-02-14", "--sky", "0.4"));
        Assert.Contains("no place is called \"rigde camp\"; nothing was written", _error.ToString(), StringComparison.Ordinal);
        Assert.Contains("Declared are: ridge camp", _error.ToString(), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("tomorrow", "0.4", "-20", "is no day like")]
    [InlineData("2027-02-14", "40", "-20", "--sky takes a number from 0 to 1")]
    [InlineData("2027-02-14", "0.4", "20", "warmer than noon")]
    public async Task Forecast_TypedWrongly_WritesNothing(string day, string sky, string night, string said)
    {
        await using TestHub hub = await StartAsync();

        Assert.Equal(ExitCode.BadInput, await RunAsync(hub, "forecast", "--place", "ridge camp", "--day", day, "--sky", sky, "--night", night, "--noon", "-9"));
        Assert.Contains(said, _error.ToString(), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("card 2", "2", "--confirm names")]
    [InlineData("card 1", "1", "2 clips may be lost")]
    [InlineData("card 1", null, "2 clips may be lost")]
    public async Task Release_ConfirmedWrongly_WritesNothing(string confirm, string? losing, string said)
    {
        await using TestHub hub = await StartAsync();
        string[] line = ["ledger", "release", "card 1", "--reason", "no drive left", "--author", "lead", "--confirm", confirm];

        Assert.Equal(ExitCode.BadInput, await RunAsync(hub, losing is null ? line : [.. line, "--losing", losing]));

        Assert.Contains(said, _error.ToString(), StringComparison.Ordinal);
        Assert.Equal("onHold", (await CardAsync(hub))["state"]!.ToString());
    }

    [Fact]
    public async Task Release_Confirmed_StandsInTheLedgerWithReasonAndWhatWasShown()
    {
        await using TestHub hub = await StartAsync();

        ExitCode code = await RunAsync(hub, "ledger", "release", "card 1", "--reason", "no drive left", "--author", "lead", "--confirm", "card 1", "--losing", "2");

        Assert.True(code == ExitCode.Good, _error.ToString() + _output);
        JsonObject card = await CardAsync(hub);
        Assert.Equal("mayBeFormatted", card["state"]!.ToString());
        Assert.Contains("by lead", card["override"]!.ToString(), StringComparison.Ordinal);
        Assert.Contains("no drive left", card["override"]!.ToString(), StringComparison.Ordinal);
        Assert.Contains("2 of 3 clips are short of proof", card["override"]!.ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Release_FromANodeThatMayNot_IsKeptAndReleasesNothing()
    {
        _history.Declare(new WatchedAgent(NodeId.Parse("lead-phone"), Id("ridge"), Duration.FromHours(6), MayRelease: true));
        await using TestHub hub = await StartAsync();
        string[] line = ["ledger", "release", "card 1", "--reason", "no drive left", "--author", "somebody", "--confirm", "card 1", "--losing", "2"];

        Assert.Equal(ExitCode.BadNews, await RunAsync(hub, line));
        Assert.Equal("onHold", (await CardAsync(hub))["state"]!.ToString());

        Assert.Equal(ExitCode.Good, await RunAsync(hub, [.. line, "--node", "lead-phone"]));
    }

    [Fact]
    public async Task Release_OfACardThatNobodyRead_IsRefused()
    {
        await using TestHub hub = await StartAsync();

        Assert.Equal(ExitCode.BadInput, await RunAsync(hub, "ledger", "release", "card 9", "--reason", "lost it", "--author", "lead", "--confirm", "card 9", "--losing", "0"));
        Assert.Contains("card 9", _error.ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Place_ADriveByHand_MovesTheLedger()
    {
        await using TestHub hub = await StartAsync();

        Assert.Equal(ExitCode.Good, await RunAsync(hub, "ledger", "place", "drive B", "--into", "case 1", "--author", "lead", "--since", "2027-02-01T06:00:00Z"));

        // Both copies of clip 1 are in one case now.
        JsonObject ledger = await LedgerAsync(hub, "--drive", "drive B");
        Assert.Equal("case 1", ledger["drives"]!.AsArray().Single(drive => drive!["drive"]!.ToString() == "drive B")!["case"]!.ToString());
        Assert.Equal("1", ledger["clips"]![0]!["provenCases"]!.ToString());
    }

    [Fact]
    public async Task Place_IntoWhatNobodyDeclared_IsWrittenAndSaysThatItDoesNotCount()
    {
        await using TestHub hub = await StartAsync();

        Assert.Equal(ExitCode.BadNews, await RunAsync(hub, "ledger", "place", "drive B", "--into", "case 77", "--author", "lead"));
        Assert.Contains("nobody declared", _output.ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Place_OfWhatNobodyKnows_IsWrittenAndAsksForTheName()
    {
        await using TestHub hub = await StartAsync();

        Assert.Equal(ExitCode.BadNews, await RunAsync(hub, "ledger", "place", "drive Q", "--into", "case 1", "--author", "lead"));
        Assert.Contains("Is the name right?", _output.ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Ledger_WhereNoClipFits_SaysSo()
    {
        await using TestHub hub = await StartAsync();

        await RunAsync(hub, "ledger", "--day", "2027-02-05");

        Assert.Contains("No clip is as asked.", _output.ToString(), StringComparison.Ordinal);
        Assert.DoesNotContain("no station has read", _output.ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Formatted_SaidByAPerson_TellsWhatIsShort()
    {
        await using TestHub hub = await StartAsync();

        Assert.Equal(ExitCode.BadNews, await RunAsync(hub, "ledger", "formatted", "card 1"));

        JsonObject card = await CardAsync(hub);
        Assert.Equal("formattedShort", card["state"]!.ToString());
        Assert.Equal("2", card["shortAndGone"]!.ToString());
    }

    [Fact]
    public async Task Ledger_ForAPerson_DrawsTheDaysByCase()
    {
        await using TestHub hub = await StartAsync();

        await RunAsync(hub, "ledger");

        string[] rows = _output.ToString().Split('\n');
        Assert.Contains(rows, row => row.Contains("case 1", StringComparison.Ordinal) && row.Contains("case 2", StringComparison.Ordinal) && row.Contains("Copy rule", StringComparison.Ordinal));
        Assert.Contains(rows, row => row.Contains("2027-02-01", StringComparison.Ordinal) && row.Contains("2 of 3", StringComparison.Ordinal) && row.Contains("1 of 3", StringComparison.Ordinal) && row.Contains("2 short", StringComparison.Ordinal));
    }

    [Fact]
    public async Task Ledger_OfOverdueCopies_SaysRecheck_NotNoneOrShort()
    {
        _history.DeclareRidgeKit(copies: 1, drives: 1, cases: 1, recheckAge: Duration.FromDays(7)).Verified(3, "drive A");
        _history.Clock += Duration.FromDays(8);
        await using TestHub hub = await StartAsync();

        await RunAsync(hub, "ledger");

        string day = _output.ToString().Split('\n').Single(row => row.Contains("2027-02-01", StringComparison.Ordinal));
        Assert.Contains("recheck all", day, StringComparison.Ordinal);
        Assert.Contains("recheck 3", day, StringComparison.Ordinal);
        Assert.DoesNotContain("none", day, StringComparison.Ordinal);
        Assert.DoesNotContain("short", day, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Ledger_ByEachFilter_AndInPages_ListsTheClips()
    {
        await using TestHub hub = await StartAsync();

        Assert.Equal(3, Clips(await LedgerAsync(hub)));
        Assert.Equal(2, Clips(await LedgerAsync(hub, "--short")));
        Assert.Equal(1, Clips(await LedgerAsync(hub, "--drive", "drive B")));
        Assert.Equal(1, Clips(await LedgerAsync(hub, "--case", "case 2")));
        Assert.Equal(3, Clips(await LedgerAsync(hub, "--source", "camera 1")));
        Assert.Equal(3, Clips(await LedgerAsync(hub, "--day", "2027-02-01")));
        Assert.Equal(0, Clips(await LedgerAsync(hub, "--day", "2027-02-02")));
        Assert.Equal(1, Clips(await LedgerAsync(hub, "--clip", FootageHistory.Clip(2).ToString())));
        Assert.Equal(2, Clips(await LedgerAsync(hub, "--clips", "2")));
        Assert.Equal(0, Clips(await LedgerAsync(hub, "--clips", "0")));

        // As it stood before the first copy was proven.
        JsonObject before = await LedgerAsync(hub, "--at", "2027-02-01T06:14:30Z");
        Assert.All(before["clips"]!.AsArray(), clip => Assert.Equal("0", clip!["provenCopies"]!.ToString()));
    }

    [Fact]
    public async Task Ledger_PageByPage_OverTheWire_IsWhole()
    {
        await using TestHub hub = await StartAsync();
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        var client = new V1.OutlookService.OutlookServiceClient(channel);
        List<string> paths = [];
        var request = new V1.GetLedgerRequest { PageSize = 2 };
        do
        {
            V1.GetLedgerResponse page = await client.GetLedgerAsync(request, cancellationToken: TestContext.Current.CancellationToken);
            paths.AddRange(page.Document.Fields["clips"].ListValue.Values.Select(clip => clip.StructValue.Fields["path"].StringValue));
            request.PageToken = page.NextPageToken;
        }
        while (request.PageToken.Length > 0);

        Assert.Equal(3, paths.Distinct().Count());
        Assert.Equal(3, paths.Count);
    }

    [Fact]
    public async Task Export_ThenRecheckWithoutAHub_ProvesTheDrives()
    {
        string drive = Directory.CreateDirectory(Path.Combine(_folder, "drive A", "2027-02-01")).Parent!.FullName;
        byte[] clip = KitMesh.TestKit.Offload.OffloadStage.Noise(300_000, 4);
        File.WriteAllBytes(Path.Combine(drive, "2027-02-01", "C0009.MP4"), clip);
        var hash = new ClipHash(System.IO.Hashing.XxHash128.HashToUInt128(clip));
        var size = new Domain.Quantities.ByteCount(clip.Length);
        _history.See("card 2", "v2", 1)
            .Write(new ClipFound(hash, Id("card 2"), Id("v2"), "DCIM/C0009.MP4", size, null, null, null, null))
            .Write(new CopyVerified(hash, Id("drive A"), "2027-02-01/C0009.MP4", size, ReadBackLevel.Direct, false));
        string to = Path.Combine(_folder, "handover");
        string bag = Path.Combine(_folder, "bag");
        await using (TestHub hub = await StartAsync())
        {
            // Clip 3 has no copy at all: bad news, and all the same everything else is handed over.
            Assert.Equal(ExitCode.BadNews, await RunAsync(hub, "export", "footage", "--to", to, "--bag", bag, "--drive", drive));
        }

        Assert.True(File.Exists(Path.Combine(to, "days", "2027-02-01.html")));

        // Clips 1 and 2 were promised on drives that nobody brought.
        Assert.Equal(ExitCode.BadNews, await RunAsync("--json", "recheck", "--handover", to, drive));
        JsonObject verdict = LastJson();
        Assert.Equal("1", verdict["proven"]!.ToString());
        Assert.Equal(2, verdict["missing"]!.AsArray().Count);
        Assert.Single(verdict["knownMissing"]!.AsArray());
        Assert.Equal(ExitCode.Good, await RunAsync("recheck", bag));

        File.AppendAllText(Path.Combine(to, "inventory.json"), " ");
        Assert.Equal(ExitCode.BadInput, await RunAsync("recheck", "--handover", to, drive));
        Assert.Contains("inventory.json was altered", _error.ToString(), StringComparison.Ordinal);
    }

    private static int Clips(JsonObject ledger) => ledger["clips"]!.AsArray().Count;

    private async Task<TestHub> StartAsync()
    {
        TestHub hub = await TestHub.StartAsync(now: _history.Clock + Duration.FromMinutes(5));
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        var client = new V1.MeshService.MeshServiceClient(channel);
        foreach (IGrouping<OriginId, TimedReport> origin in _history.Reports.GroupBy(report => report.Report.Key.Origin))
        {
            var request = new V1.PushRequest { Origin = OriginCodec.Write(origin.Key), FirstSequence = 1 };
            request.Encoded.AddRange(origin.Select(report => ByteString.CopyFrom(ReportCodec.Encode(report.Report))));
            await client.PushAsync(request, cancellationToken: TestContext.Current.CancellationToken);
        }

        // The push is durable; the ledger has it a moment later.
        var ledger = new V1.OutlookService.OutlookServiceClient(channel);
        while ((await ledger.GetLedgerAsync(new V1.GetLedgerRequest(), cancellationToken: TestContext.Current.CancellationToken)).Clips < 3)
        {
            TestContext.Current.CancellationToken.ThrowIfCancellationRequested();
        }

        _world = hub.World;
        return hub;
    }

    private NodaTime.Testing.FakeClock? _world;

    private async Task<JsonObject> CardAsync(TestHub hub) =>
        (JsonObject)(await LedgerAsync(hub, "--card", "card 1"))["cards"]!.AsArray().Single(card => card!["card"]!.ToString() == "card 1")!;

    private async Task<JsonObject> LedgerAsync(TestHub hub, params string[] options)
    {
        await RunAsync(hub, ["ledger", "--json", .. options]);
        return LastJson();
    }

    private JsonObject LastJson() => (JsonObject)JsonNode.Parse(_output.ToString().TrimEnd().Split('\n')[^1])!;

    private Task<ExitCode> RunAsync(TestHub hub, params string[] line) => RunAsync([.. line, "--hub", hub.Address.ToString()]);

    private Task<ExitCode> RunAsync(params string[] line) => CommandLine.RunAsync(line, new Surroundings(
        TimeProvider.System,
        _world!,
        new WorldClock(_world!),
        RandomIds.Draw,
        _output,
        _error,
        OutputIsTerminal: false,
        ErrorIsTerminal: false,
        Colour: false,
        _stop));

    /// <summary>A keeper's own clock, which agrees with the world of the test.</summary>
    private sealed class WorldClock(IClock world) : IDeviceClock
    {
        public ClockTrust Trust => ClockTrust.PersonSet;

        public DeviceTime Read() => new(world.GetCurrentInstant(), new BootId(77), 1_000_000_000);
    }
}
