using System.Net;
using System.Net.Sockets;
using System.Text.Json;
using KitMesh.Cli.Frame;
using KitMesh.Disk;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Hub;
using KitMesh.Hub.Enrolment;
using KitMesh.Hub.SelfTest;
using KitMesh.Protocol.Reports;
using KitMesh.Sync.Journal;
using KitMesh.Tests.Architecture;
using KitMesh.Tests.Cli;
using KitMesh.TestKit.Hub;
using KitMesh.TestKit.Storage;
using NodaTime;
using NodaTime.Testing;

namespace KitMesh.Tests.Hub.SelfTest;

/// <summary>Each thing that can be wrong before a start is broken here, and the self test has to say so and to change nothing.</summary>
public sealed class HubSelfTestTests : IDisposable
{
    private static readonly Instant Now = Instant.FromUtc(2027, 2, 14, 18, 0);
    private readonly DirectoryInfo _root = Directory.CreateTempSubdirectory("kitmesh-selftest-");
    private readonly ReportMaker _ridge = new("ridge-agent", 0xFEDC_BA98_7654_3210);

    private string Data => Path.Combine(_root.FullName, "hub");

    public void Dispose() => _root.Delete(recursive: true);

    [Fact]
    public async Task Check_NothingThereYet_AllRightAndNothingMade()
    {
        CliRun run = await CliRun.AtAsync(Now, "hub", "--check", "--data", Data, "--listen", "http://127.0.0.1:0", "--trip", SourceTree.PathTo("deploy", "trip.example.yaml"));

        Assert.Equal(ExitCode.Good, run.Code);
        Assert.DoesNotContain("WRONG", run.Output, StringComparison.Ordinal);
        Assert.Empty(_root.EnumerateFileSystemInfos());
    }

    [Fact]
    public async Task Check_Json_OneObjectWithEveryLine()
    {
        CliRun run = await CliRun.AtAsync(Now, "hub", "--check", "--json", "--data", Data, "--listen", "http://127.0.0.1:0");

        JsonElement answer = JsonDocument.Parse(run.Output).RootElement;
        Assert.Equal("hub_check", answer.GetProperty("kind").GetString());
        Assert.True(answer.GetProperty("good").GetBoolean());
        Assert.Equal(
            ["data folder", "disk room", "journal", "clock", "identity", "trip file", "address"],
            answer.GetProperty("lines").EnumerateArray().Select(line => line.GetProperty("check").GetString()));
        Assert.All(answer.GetProperty("lines").EnumerateArray(), line => Assert.Equal("right", line.GetProperty("outcome").GetString()));
    }

    [Fact]
    public async Task Check_WrongTripFile_SaysWhereAndReturnsTwo()
    {
        string trip = Path.Combine(_root.FullName, "trip.yaml");
        await File.WriteAllTextAsync(trip, "trip:\n  name: [\n", TestContext.Current.CancellationToken);

        CliRun run = await CliRun.AtAsync(Now, "hub", "--check", "--data", Data, "--listen", "http://127.0.0.1:0", "--trip", trip);

        Assert.Equal(ExitCode.BadInput, run.Code);
        Assert.Contains("WRONG: trip file:", run.Output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Check_WrongOption_SaidAsAStartWouldSayIt()
    {
        CliRun run = await CliRun.AtAsync(Now, "hub", "--check", "--data", Data, "--listen", "http://0.0.0.0:7433");

        Assert.Equal(ExitCode.BadInput, run.Code);
        Assert.Contains("strangers", run.Talk, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Check_PortTaken_IsWrong()
    {
        using var other = new TcpListener(IPAddress.Loopback, 0);
        other.Start();
        int port = ((IPEndPoint)other.LocalEndpoint).Port;

        CliRun run = await CliRun.AtAsync(Now, "hub", "--check", "--data", Data, "--listen", $"http://127.0.0.1:{port}");

        Assert.Equal(ExitCode.BadNews, run.Code);
        Assert.Contains("WRONG: address:", run.Output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Run_BesideARunningHub_TheTakenPortIsRight()
    {
        await using TestHub hub = await TestHub.StartAsync();

        IReadOnlyList<CheckLine> lines = await RunAsync(new HubOptions { DataFolder = hub.Folder, Listen = hub.Address, Node = NodeId.Parse("base-camp") });

        Assert.Contains(lines, line => line is { Check: "journal", Outcome: CheckOutcome.Right } && line.Words.Contains("A hub runs on this folder", StringComparison.Ordinal));
        Assert.Contains(lines, line => line is { Check: "address", Outcome: CheckOutcome.Right });
    }

    [Fact]
    public void Journal_Sound_CountedToTheLastReportAndNotTouched()
    {
        Fill(40);
        Dictionary<string, string> before = Contents();

        JournalLook look = JournalLook.At(new PhysicalDisk(), Options());

        Assert.Equal(CheckOutcome.Right, look.Line.Outcome);
        Assert.StartsWith("40 reports of 1 origin ", look.Line.Words, StringComparison.Ordinal);
        Assert.Equal(Now, look.LastArrival);
        Assert.Equal(before, Contents());
    }

    [Fact]
    public void Journal_OneBitTurnedInAClosedSegment_IsWrongAndNotTouched()
    {
        Fill(400);
        string first = Directory.GetFiles(Path.Combine(Data, "journal")).Order(StringComparer.Ordinal).First(file => new FileInfo(file).Length > 200);
        byte[] bytes = File.ReadAllBytes(first);
        bytes[bytes.Length / 2] ^= 1;
        File.WriteAllBytes(first, bytes);
        Dictionary<string, string> before = Contents();

        JournalLook look = JournalLook.At(new PhysicalDisk(), Options());

        Assert.Equal(CheckOutcome.Wrong, look.Line.Outcome);
        Assert.Contains(Path.GetFileName(first), look.Line.Words, StringComparison.Ordinal);
        Assert.Equal(before, Contents());
    }

    [Fact]
    public void Clock_SetBackOrDead_WantsALook()
    {
        Assert.Equal(CheckOutcome.Right, ClockCheck.Look(Now, Now - Duration.FromHours(1)).Outcome);
        Assert.Equal(CheckOutcome.Look, ClockCheck.Look(Now, Now + Duration.FromMinutes(6)).Outcome);
        Assert.Equal(CheckOutcome.Look, ClockCheck.Look(Instant.FromUnixTimeSeconds(60), null).Outcome);
    }

    [Fact]
    public void Room_AlmostNone_IsWrong()
    {
        Assert.Equal(CheckOutcome.Wrong, RoomCheck.Look(new NarrowDisk(1 << 20), _root.FullName).Outcome);
        Assert.Equal(CheckOutcome.Look, RoomCheck.Look(new NarrowDisk(500 << 20), _root.FullName).Outcome);
        Assert.Equal(CheckOutcome.Right, RoomCheck.Look(new NarrowDisk(2L << 30), _root.FullName).Outcome);
    }

    [Fact]
    public void Folder_SyncFails_IsWrong()
    {
        CheckLine line = FolderCheck.Look(new NarrowDisk(0, syncFails: true), _root.FullName, TimeProvider.System);

        Assert.Equal(CheckOutcome.Wrong, line.Outcome);
        Assert.Contains("sync", line.Words, StringComparison.Ordinal);
        Assert.Empty(_root.EnumerateFileSystemInfos());
    }

    [Fact]
    public void Identity_DatesAndKeys_JudgedByTheClock()
    {
        HubOptions options = Options() with { Listen = new Uri("https://127.0.0.1:0") };
        Assert.Equal(CheckOutcome.Look, Assert.Single(IdentityCheck.Look(options, Now)).Outcome);
        var folder = new HubIdentityFolder(Data);
        HubIdentity.Open(folder, options.Node, [IPAddress.Loopback], Now).Dispose();

        Assert.All(IdentityCheck.Look(options, Now), line => Assert.Equal(CheckOutcome.Right, line.Outcome));
        Assert.Equal(CheckOutcome.Look, IdentityCheck.Look(options, Now + Duration.FromDays(700))[0].Outcome);
        Assert.Equal(CheckOutcome.Wrong, IdentityCheck.Look(options, Now + Duration.FromDays(731 + 31))[0].Outcome);
        Assert.Equal(CheckOutcome.Right, IdentityCheck.Look(options, Instant.FromUnixTimeSeconds(60))[0].Outcome);

        File.Copy(Path.Combine(folder.Location, "node.key"), Path.Combine(folder.Location, "root.key"), overwrite: true);
        Assert.Contains(IdentityCheck.Look(options, Now), line => line is { Check: "trip root key", Outcome: CheckOutcome.Wrong });
        if (!OperatingSystem.IsWindows())
        {
            File.SetUnixFileMode(Path.Combine(folder.Location, "root.key"), UnixFileMode.UserRead | UnixFileMode.OtherRead);
            Assert.Contains("can be read by others", Assert.Single(IdentityCheck.Look(options, Now)).Words, StringComparison.Ordinal);
        }
    }

    [Fact]
    public async Task Link_NobodyThere_WantsALookAndIsNotWrong()
    {
        using var free = new TcpListener(IPAddress.Loopback, 0);
        free.Start();
        int port = ((IPEndPoint)free.LocalEndpoint).Port;
        Assert.Equal(CheckOutcome.Right, (await LinkCheck.LookAsync(new Uri($"http://127.0.0.1:{port}"), TimeProvider.System, TestContext.Current.CancellationToken)).Outcome);
        free.Stop();

        Assert.Equal(CheckOutcome.Look, (await LinkCheck.LookAsync(new Uri($"http://127.0.0.1:{port}"), TimeProvider.System, TestContext.Current.CancellationToken)).Outcome);
    }

    private static Task<IReadOnlyList<CheckLine>> RunAsync(HubOptions options) =>
        HubSelfTest.RunAsync(options, new HubClocks(new FakeClock(Now), TimeProvider.System, new KitMesh.Cli.Clocks.SystemDeviceClock(SystemClock.Instance, TimeProvider.System, KitMesh.Cli.Clocks.RandomIds.Draw)), TestContext.Current.CancellationToken);

    private HubOptions Options() => new() { DataFolder = Data, Listen = new Uri("http://127.0.0.1:0"), Node = NodeId.Parse("base-camp") };

    private void Fill(int reports)
    {
        var options = new JournalOptions { Folder = Path.Combine(Data, "journal"), Node = NodeId.Parse("base-camp"), SegmentBytes = 4 << 10 };
        using Journal journal = Assert.IsType<JournalOpening.Opened>(Journal.Open(new PhysicalDisk(), options, 1, 2)).Journal;
        for (int i = 1; i <= reports; i++)
        {
            byte[] bytes = ReportCodec.Encode(_ridge.Note((ulong)i, Now, new string('x', 60)).Timed.Report);
            Assert.IsType<AppendResult.Durable>(journal.Append([new RawReport(new ReportKey(_ridge.Origin, (ulong)i), bytes)], Now));
        }
    }

    private Dictionary<string, string> Contents() => Directory
        .GetFiles(Path.Combine(Data, "journal"))
        .Where(file => Path.GetFileName(file) != Journal.LockName)
        .ToDictionary(file => file, file => Convert.ToHexString(File.ReadAllBytes(file)));

    /// <summary>The real disk with little room, or with a medium that takes no sync.</summary>
    private sealed class NarrowDisk(long free, bool syncFails = false) : IDisk
    {
        private readonly PhysicalDisk _below = new();

        public DiskResult<IDiskFile> Open(string path, DiskOpen how) => _below.Open(path, how);

        public DiskResult CreateDirectory(string path) => _below.CreateDirectory(path);

        public DiskResult SyncDirectory(string path) => syncFails ? new DiskFault(DiskFaultKind.InputOutput, "sync the directory", path, "EIO") : _below.SyncDirectory(path);

        public DiskResult<IReadOnlyList<DiskEntry>> List(string path) => _below.List(path);

        public DiskResult<DiskEntry> Find(string path) => _below.Find(path);

        public DiskResult Move(string from, string to, bool replace = false) => _below.Move(from, to, replace);

        public DiskResult Delete(string path) => _below.Delete(path);

        public DiskResult SetModified(string path, long modifiedUnixNanoseconds) => _below.SetModified(path, modifiedUnixNanoseconds);

        public DiskResult<DiskSpace> Space(string path) => new DiskSpace(64L << 30, free, "ext4");

        public DiskResult<IDisposable> Lock(string path) => _below.Lock(path);
    }
}
