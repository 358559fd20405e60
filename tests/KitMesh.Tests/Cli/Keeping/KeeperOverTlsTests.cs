using System.Text.Json.Nodes;
using Google.Protobuf;
using KitMesh.Agent.Identity;
using KitMesh.Cli.Clocks;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Protocol.Exchange;
using KitMesh.Protocol.Reports;
using KitMesh.TestKit.Enrolment;
using KitMesh.TestKit.Footage;
using NodaTime;
using static KitMesh.TestKit.Footage.FootageHistory;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Tests.Cli.Keeping;

/// <summary>
/// What a keeper writes at a hub that asks for certificates: over TLS 1.3, as the node that the certificate names, and
/// judged by its role. The command line, the socket, the hub and the journal are the real ones.
/// </summary>
public sealed class KeeperOverTlsTests : IDisposable
{
    private static readonly OriginId Lead = new(NodeId.Parse("lead-laptop"), 3);

    private readonly FootageHistory _history = new() { Station = Lead };
    private readonly StringWriter _output = new();
    private readonly StringWriter _error = new();
    private readonly StopRequest _stop = new();
    private NodaTime.Testing.FakeClock? _world;

    public KeeperOverTlsTests()
    {
        _history.DeclareRidgeKit(copies: 2, drives: 2, cases: 2);
        _history.Station = new OriginId(NodeId.Parse("station-1"), 7);
        _history.See("card 1", "v1", 2).Find("card 1", "v1", 1).Find("card 1", "v1", 2)
            .Verified(1, "drive A").Verified(1, "drive B").Verified(2, "drive A");
    }

    public void Dispose() => _stop.Dispose();

    [Fact]
    public async Task Release_ByAKeeper_LetsTheCardGo()
    {
        await using JoinableHub hub = await StartAsync();
        IdentityFolder lead = await TellAsync(hub);
        string[] line = ["ledger", "release", "card 1", "--reason", "no drive left", "--author", "lead"];

        Assert.Equal(ExitCode.BadNews, await RunAsync(hub, lead, line));
        Assert.Contains("--confirm \"card 1\" --losing 1", _output.ToString(), StringComparison.Ordinal);
        ExitCode code = await RunAsync(hub, lead, [.. line, "--confirm", "card 1", "--losing", "1"]);

        Assert.True(code == ExitCode.Good, _error.ToString() + _output);
        JsonObject card = await CardAsync(hub, lead);
        Assert.Equal("mayBeFormatted", card["state"]!.ToString());
        Assert.Contains("by lead at 1 Feb", card["override"]!.ToString(), StringComparison.Ordinal);
        Assert.Contains("(+05:00)", card["override"]!.ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Release_ByAWriter_IsKeptShownAndReleasesNothing()
    {
        await using JoinableHub hub = await StartAsync();
        IdentityFolder lead = await TellAsync(hub);
        IdentityFolder friend = await hub.JoinAsync("friend", "writer reader");

        ExitCode code = await RunAsync(hub, friend, "ledger", "release", "card 1", "--reason", "trust me", "--author", "friend", "--confirm", "card 1", "--losing", "1");

        Assert.True(code == ExitCode.BadNews, _error.ToString() + _output);
        Assert.Equal("onHold", (await CardAsync(hub, lead))["state"]!.ToString());
        Assert.Contains("without a keeper's right", (await LedgerAsync(hub, lead))["oddities"]!.ToJsonString(new() { Encoder = System.Text.Encodings.Web.JavaScriptEncoder.UnsafeRelaxedJsonEscaping }), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Release_ByAStranger_IsAskedToJoin()
    {
        await using JoinableHub hub = await StartAsync();
        IdentityFolder lead = await TellAsync(hub);

        ExitCode code = await RunAsync(hub, new IdentityFolder(Path.Combine(hub.Hub.Folder, "nobody")), "ledger", "release", "card 1", "--reason", "r", "--author", "a", "--confirm", "card 1", "--losing", "1");

        Assert.Equal(ExitCode.BadInput, code);
        Assert.Equal("onHold", (await CardAsync(hub, lead))["state"]!.ToString());
    }

    [Fact]
    public async Task PlaceAndFormatted_ByAKeeper_Count()
    {
        await using JoinableHub hub = await StartAsync();
        IdentityFolder lead = await TellAsync(hub);

        ExitCode placed = await RunAsync(hub, lead, "ledger", "place", "drive B", "--into", "case 1", "--author", "lead", "--since", "2027-02-01T06:00:00Z");
        Assert.True(placed == ExitCode.Good, _error.ToString() + _output);
        JsonObject ledger = await LedgerAsync(hub, lead);
        Assert.Equal("case 1", ledger["drives"]!.AsArray().Single(drive => drive!["drive"]!.ToString() == "drive B")!["case"]!.ToString());

        ExitCode formatted = await RunAsync(hub, lead, "ledger", "formatted", "card 1");
        Assert.True(formatted == ExitCode.BadNews, _error.ToString() + _output);
        Assert.Equal("formattedShort", (await CardAsync(hub, lead))["state"]!.ToString());
    }

    private async Task<JoinableHub> StartAsync()
    {
        JoinableHub hub = await JoinableHub.StartAsync(now: _history.Clock + Duration.FromMinutes(5));
        _world = hub.Hub.World;
        return hub;
    }

    /// <summary>Lead and station join, and hand over what they know.</summary>
    private async Task<IdentityFolder> TellAsync(JoinableHub hub)
    {
        IdentityFolder lead = await hub.JoinAsync("lead-laptop", "keeper");
        IdentityFolder station = await hub.JoinAsync("station-1", "writer");
        foreach (IGrouping<OriginId, TimedReport> origin in _history.Reports.GroupBy(report => report.Report.Key.Origin))
        {
            var client = new V1.MeshService.MeshServiceClient(hub.Channel(origin.Key == Lead ? lead : station));
            var request = new V1.PushRequest { Origin = OriginCodec.Write(origin.Key), FirstSequence = 1 };
            request.Encoded.AddRange(origin.Select(report => ByteString.CopyFrom(ReportCodec.Encode(report.Report))));
            await client.PushAsync(request, cancellationToken: TestContext.Current.CancellationToken);
        }

        return lead;
    }

    private async Task<JsonObject> CardAsync(JoinableHub hub, IdentityFolder by) =>
        (JsonObject)(await LedgerAsync(hub, by))["cards"]!.AsArray().Single(card => card!["card"]!.ToString() == "card 1")!;

    private async Task<JsonObject> LedgerAsync(JoinableHub hub, IdentityFolder by)
    {
        await RunAsync(hub, by, "ledger", "--json");
        return (JsonObject)JsonNode.Parse(_output.ToString().TrimEnd().Split('\n')[^1])!;
    }

    private Task<ExitCode> RunAsync(JoinableHub hub, IdentityFolder by, params string[] line) => CommandLine.RunAsync(
        [.. line, "--hub", hub.Address.ToString(), "--identity", by.Path],
        new Surroundings(TimeProvider.System, _world!, new WorldClock(_world!), RandomIds.Draw, _output, _error, OutputIsTerminal: false, ErrorIsTerminal: false, Colour: false, _stop));

    private sealed class WorldClock(IClock world) : IDeviceClock
    {
        public ClockTrust Trust => ClockTrust.PersonSet;

        public DeviceTime Read() => new(world.GetCurrentInstant(), new BootId(77), 1_000_000_000);
    }
}
