using System.Globalization;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using System.Text;
using KitMesh.Agent.Options;
using KitMesh.Devices;
using KitMesh.Devices.Modbus;
using KitMesh.Devices.Options;
using KitMesh.Disk;
using KitMesh.Domain;
using KitMesh.Domain.Reports;
using KitMesh.Footage.Manifests;
using KitMesh.Hub.Enrolment;
using KitMesh.Hub.Grpc;
using KitMesh.Hub.SelfTest;
using KitMesh.Protocol.Certificates;
using KitMesh.Protocol.Reports;
using KitMesh.Sync.Journal;
using KitMesh.Tests.Architecture;
using KitMesh.TestKit.Enrolment;
using KitMesh.TestKit.Storage;
using NodaTime;

namespace KitMesh.Tests.Fuzz;

/// <summary>Files that rot, answers of broken devices and what strangers hand in: read, refused in words, never believed for what they are not.</summary>
public sealed class FileFuzzTests : IDisposable
{
    private static readonly Instant Now = Instant.FromUtc(2027, 2, 14, 18, 0);
    private readonly DirectoryInfo _root = Directory.CreateTempSubdirectory("kitmesh-fuzz-");

    public void Dispose() => _root.Delete(recursive: true);

    /// <summary>One segment, open or sealed, is damaged in memory above a sound folder. Whatever opens holds nothing that was not written.</summary>
    [Fact]
    public void Journal_OneSegmentDamaged_OpensOrIsRefusedAndNothingIsInvented()
    {
        HashSet<(ReportKey Key, string Bytes)> written = WriteJournal();
        var disk = new PhysicalDisk();
        string[] files = [.. _root.GetFiles().Where(file => file.Name != Journal.LockName && file.Length > 0).Select(file => file.FullName).Order(StringComparer.Ordinal)];
        byte[][] sound = [.. files.Select(File.ReadAllBytes)];
        Fuzzing.Run(1, random =>
        {
            int at = random.Next(files.Length);
            byte[] damaged = Mutator.Damage(sound[at], sound[random.Next(files.Length)], random);
            var over = new UntouchedDisk(disk);
            using (IDiskFile file = over.Open(files[at], new DiskOpen(DiskOpenMode.Emptied, Writable: true)).Value)
            {
                Assert.Null(file.Write(0, damaged).Fault);
            }

            if (Journal.Open(over, Options(), 3, 4) is JournalOpening.Opened opened)
            {
                using Journal journal = opened.Journal;
                Assert.All(journal.Replay(JournalPosition.Start), entry => Assert.Contains((entry.Report.Key, Convert.ToHexString(entry.Report.Bytes.Span)), written));
            }

            return damaged;
        });
    }

    [Fact]
    public void AgentFile_Damaged_IsReadOrNamesProblems() =>
        Fuzzing.Run(1, Texts("agent.power.example.yaml", "agent.station.example.yaml", "agent.phone.example.yaml"), bytes =>
        {
            List<OptionProblem> problems = [];
            AgentOptions? options = AgentFile.Parse("agent.yaml", Encoding.UTF8.GetString(bytes), ReaderCatalogue.All, problems);
            Assert.Equal(options is null, problems.Count > 0);
        });

    [Fact]
    public void BagManifest_Damaged_StaysInsideTheBagOrSaysWhatIsWrong()
    {
        string[] paths = ["data/day 1/clip 0001.mov", "data/100%.wav", "data/Ünë.mp4", "bagit.txt"];
        string sound = BagItText.Manifest(paths.Select(path => new BagItEntry(path, Convert.ToHexStringLower(SHA512.HashData(Encoding.UTF8.GetBytes(path))))));
        Fuzzing.Run(20, [Encoding.UTF8.GetBytes(sound)], bytes =>
        {
            string text = Encoding.UTF8.GetString(bytes);
            IReadOnlyList<BagItEntry>? entries = BagItText.ParseManifest(text, out string wrong);
            Assert.Equal(entries is null, wrong.Length > 0);
            Assert.All(entries ?? [], entry => Assert.False(entry.Path.StartsWith('/') || entry.Path.Split('/').Contains("..")));
            _ = BagItText.Oxum($"Payload-Oxum: {text}");
        });
    }

    [Theory]
    [InlineData(RegisterTable.Holding)]
    [InlineData(RegisterTable.Input)]
    public void ModbusAnswer_Damaged_HasAllRegistersOrNone(RegisterTable table)
    {
        byte[] sound = [(byte)table, 20, .. Enumerable.Range(0, 20).Select(i => (byte)(i * 13))];
        byte[] refused = [(byte)((byte)table | 0x80), 2];
        Fuzzing.Run(20, [sound, refused], bytes =>
        {
            int count = 10;
            ModbusAnswer answer = ModbusPdu.Decode(table, count, bytes, bytes);
            Assert.True(answer is not ModbusAnswer.Registers registers || registers.Values.Count == count);
            Assert.Equal(answer is ModbusAnswer.Registers, ModbusAnswer.Complaint(answer) is null);
        });
    }

    /// <summary>A certificate comes with a report of any writer: damaged, nobody is let in by it under another name or with other roles.</summary>
    [Fact]
    public void Certificate_Damaged_LetsNobodyInAsSomethingElse()
    {
        using var trip = new TripMaker();
        using X509Certificate2 writer = trip.Node("ridge-power", MeshRoles.Writer);
        using X509Certificate2 keeper = trip.Node("lead", MeshRoles.Keeper);
        Fuzzing.Run(5, [writer.RawData, keeper.RawData], bytes =>
        {
            var book = new RightsBook(NodeId.Parse("base-camp"), trip.Trust);
            foreach (string name in new[] { "ridge-power", "lead", "stranger" })
            {
                var body = new NodeEnrolled(NodeId.Parse(name), bytes.ToValueList(), ValueList<byte>.Empty);
                book.Add(new ReportMaker("ridge-hub", 1).Make(1, Now, body).Timed.Report);
            }

            Assert.All(book.Members, member => Assert.Equal(member.Key.Value == "lead" ? MeshRoles.Keeper : MeshRoles.Writer, member.Value.Roles));
            Assert.DoesNotContain(NodeId.Parse("stranger"), book.Members.Keys);
        });
    }

    /// <summary>The one thing that a stranger may hand in.</summary>
    [Fact]
    public void CertificateRequest_Damaged_GivesItsOwnKeyOrIsRefused()
    {
        using ECDsa key = TripMaker.NewKey();
        byte[] request = new CertificateRequest("CN=ridge-power", key, HashAlgorithmName.SHA256).CreateSigningRequest();
        byte[] public1 = key.ExportSubjectPublicKeyInfo();
        Fuzzing.Run(5, [request], bytes =>
        {
            try
            {
                Assert.Equal(public1, EnrolGrpcService.ReadKey(bytes).ExportSubjectPublicKeyInfo());
            }
            catch (CallRefusedException)
            {
                // Refused in words.
            }
        });
    }

    [Fact]
    public void CodeAndInvite_Damaged_AreReadOrRefused()
    {
        EnrolCode code = EnrolCode.From(Enumerable.Range(1, EnrolCode.RandomBytes).Select(i => (byte)i).ToArray());
        byte[][] sound =
        [
            Encoding.UTF8.GetBytes(code.Reveal()),
            Encoding.UTF8.GetBytes($"kitmesh:enrol?hub=https%3A%2F%2F192.168.4.1%3A7433&pin={new string('A', 43)}&code={code.Reveal()}"),
        ];
        Fuzzing.Run(20, sound, bytes =>
        {
            string text = Encoding.UTF8.GetString(bytes);
            _ = EnrolCode.TryParse(text, out _);
            _ = EnrolInvite.TryParse(text, out _);
            _ = KeyPin.TryParse(text, out _);
        });
    }

    private HashSet<(ReportKey Key, string Bytes)> WriteJournal()
    {
        var maker = new ReportMaker("ridge-agent", 0xFEDC_BA98_7654_3210);
        HashSet<(ReportKey, string)> written = [];
        using Journal journal = Assert.IsType<JournalOpening.Opened>(Journal.Open(new PhysicalDisk(), Options(), 1, 2)).Journal;
        for (ulong i = 1; i <= 120; i++)
        {
            byte[] bytes = ReportCodec.Encode(maker.Note(i, Now, string.Create(CultureInfo.InvariantCulture, $"wind from the west, {i} m/s, and a note that is long enough")).Timed.Report);
            var key = new ReportKey(maker.Origin, i);
            written.Add((key, Convert.ToHexString(bytes)));
            Assert.IsType<AppendResult.Durable>(journal.Append([new RawReport(key, bytes)], Now));
            if (i == 60)
            {
                while (journal.Maintain(Duration.Zero).Value)
                {
                    // Half of the segments are sealed, the others stay as they are.
                }
            }
        }

        return written;
    }

    private JournalOptions Options() => new() { Folder = _root.FullName, Node = NodeId.Parse("base-camp"), SegmentBytes = 4 << 10 };

    private static byte[][] Texts(params string[] names) => [.. names.Select(name => File.ReadAllBytes(SourceTree.PathTo("deploy", name)))];
}
