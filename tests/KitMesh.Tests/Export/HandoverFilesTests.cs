using System.Diagnostics;
using System.Text;
using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Export.Handover;
using KitMesh.Footage.Ledger;
using KitMesh.Footage.Manifests;
using KitMesh.TestKit.Footage;
using NodaTime;
using static KitMesh.TestKit.Footage.FootageHistory;

namespace KitMesh.Tests.Export;

/// <summary>What is handed over: files that read back as what they were, sheets that say what is missing.</summary>
public sealed class HandoverFilesTests : IDisposable
{
    private static readonly Instant Noon = Instant.FromUtc(2027, 2, 1, 7, 0);

    private readonly string _folder = Directory.CreateTempSubdirectory("kitmesh-handover-").FullName;
    private readonly FootageHistory _history = new FootageHistory().DeclareRidgeKit(copies: 2, drives: 2, cases: 2);

    public HandoverFilesTests() => _history
        .See("card 1", "v1", 3)
        .Find("card 1", "v1", 1, recorded: Noon, path: "DCIM/C0001.MP4")
        .Find("card 1", "v1", 2, recorded: Noon + Duration.FromMinutes(10), path: "DCIM/C0002, \"take\".MP4")
        .Find("card 1", "v1", 4, recorded: Noon + Duration.FromMinutes(30), path: "DCIM/C0004.MP4")
        .Verified(1, "drive A").Verified(1, "drive B").Verified(2, "drive A").Failed(4, "drive A", CopyFailure.WriteFailed);

    private Inventory Inventory => Inventory.Of(FootageLedger.Of(_history.Reports).Now(_history.Clock));

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [Fact]
    public void Json_ReadBack_IsTheSameInventory()
    {
        Inventory inventory = Inventory;

        Assert.Equal(inventory, InventoryJson.Read(InventoryJson.Write(inventory), out string wrong));
        Assert.Equal("", wrong);
        Assert.Equal(3, inventory.Clips.Count);
    }

    [Theory]
    [InlineData("", "")]
    [InlineData("[]", "")]
    [InlineData("{\"version\":99,\"asOf\":\"\",\"zoneOffset\":\"\",\"drives\":[],\"clips\":[]}", "version 99")]
    [InlineData("{\"version\":1}", "")]
    [InlineData("{\"version\":1,\"asOf\":\"2027-02-01T00:00:00Z\",\"zoneOffset\":\"Z\",\"drives\":[],\"clips\":[{\"xxh128\":\"short\"}]}", "short")]
    public void Json_ThatIsNone_IsRefusedInWords(string text, string said)
    {
        Assert.Null(InventoryJson.Read(Encoding.UTF8.GetBytes(text), out string wrong));
        Assert.NotEmpty(wrong);
        Assert.Contains(said, wrong, StringComparison.Ordinal);
    }

    [Fact]
    public void Csv_HasALineACopy_QuotedAsRfc4180Asks()
    {
        string[] lines = InventoryCsv.Write(Inventory).Split("\r\n");

        Assert.Equal(6, lines.Length);
        Assert.StartsWith("day,team,source,card,card_path", lines[0], StringComparison.Ordinal);
        Assert.Contains(lines, line => line.Contains("\"DCIM/C0002, \"\"take\"\".MP4\"", StringComparison.Ordinal));
        Assert.Contains(lines, line => line.Contains("no copy was ever reported", StringComparison.Ordinal));
    }

    [Fact]
    public void Csv_NameThatLooksLikeAFormula_CannotRun()
    {
        _history.Find("card 1", "v1", 9, path: "=1+2.MP4");

        Assert.Contains(",'=1+2.MP4,", InventoryCsv.Write(Inventory), StringComparison.Ordinal);
    }

    [Fact]
    public void Histories_AreSoundChains_WithEveryGoodCopy()
    {
        IReadOnlyList<HandoverFile> files = HandoverFiles.Of(Inventory, _history.Clock, "camp");
        HandoverFile chain = files.Single(file => file.Path == "drives/drive_A/ascmhl/ascmhl_chain.xml");
        MhlReference generation = Assert.Single(MhlXml.ReadChain(chain.Bytes, out _)!);
        HandoverFile manifest = files.Single(file => file.Path == $"drives/drive_A/ascmhl/{generation.Path}");

        Assert.Equal(generation.C4, C4Id.Of(manifest.Bytes));
        MhlManifest read = MhlXml.Read(manifest.Bytes, out _)!;
        Assert.Equal(2, read.Entries.Count);
        Assert.All(read.Entries, entry => Assert.Equal(("xxh128", MhlAction.Original), (entry.Hashes.Single().Format, entry.Hashes.Single().Action)));
        Assert.Equal(FootageHistory.Clip(1).ToString(), read.Entries[0].Hashes[0].Value);
    }

    [Fact]
    public void Seal_IsWhatSha256sumChecks_AndShowsWhatWasAltered()
    {
        IReadOnlyList<HandoverFile> files = HandoverFiles.Of(Inventory, _history.Clock, "camp");
        foreach (HandoverFile file in files)
        {
            Directory.CreateDirectory(Path.GetDirectoryName(Path.Combine(_folder, file.Path))!);
            File.WriteAllBytes(Path.Combine(_folder, file.Path), file.Bytes);
        }

        byte[] seal = files.Single(file => file.Path == HandoverSeal.FileName).Bytes;
        Assert.Empty(HandoverSeal.Faults(seal, Read));
        Assert.Equal(0, Sha256Sum());

        File.AppendAllText(Path.Combine(_folder, "inventory.csv"), "one more line\r\n");
        File.Delete(Path.Combine(_folder, "README.txt"));
        Assert.Equal(["README.txt is missing", "inventory.csv was altered after it was written"], HandoverSeal.Faults(seal, Read));
        Assert.NotEqual(0, Sha256Sum());
    }

    [Fact]
    public void HashList_OfADrive_IsWhatXxhsumChecks()
    {
        byte[] bytes = [.. Enumerable.Range(0, 70_001).Select(i => (byte)(i * 7))];
        var hash = new ClipHash(System.IO.Hashing.XxHash128.HashToUInt128(bytes));
        var size = new ByteCount(bytes.Length);
        var history = new FootageHistory().DeclareRidgeKit();
        history.See("card 1", "v1", 1)
            .Write(new ClipFound(hash, Id("card 1"), Id("v1"), "C0001.MP4", size, null, null, null, null))
            .Write(new CopyVerified(hash, Id("drive A"), "day one/C0001.MP4", size, ReadBackLevel.Direct, false));
        Inventory inventory = Inventory.Of(FootageLedger.Of(history.Reports).Now(history.Clock));
        HandoverFile list = HandoverFiles.Of(inventory, history.Clock, "camp").Single(file => file.Path == "drives/drive_A/xxh128.txt");
        Directory.CreateDirectory(Path.Combine(_folder, "day one"));
        File.WriteAllBytes(Path.Combine(_folder, "day one", "C0001.MP4"), bytes);
        File.WriteAllBytes(Path.Combine(_folder, "xxh128.txt"), list.Bytes);

        Assert.Equal(0, Check("/usr/bin/xxhsum", "xxh128.txt"));

        bytes[5] ^= 1;
        File.WriteAllBytes(Path.Combine(_folder, "day one", "C0001.MP4"), bytes);
        Assert.NotEqual(0, Check("/usr/bin/xxhsum", "xxh128.txt"));
    }

    [Fact]
    public void Sheet_SaysWhatIsMissingShortAndSkipped()
    {
        string sheet = Sheet("days/2027-02-01.html");

        Assert.Contains("MISSING: DCIM/C0004.MP4", sheet, StringComparison.Ordinal);
        Assert.Contains("SHORT: DCIM/C0002, &quot;take&quot;.MP4", sheet, StringComparison.Ordinal);
        Assert.Contains("NOT SEEN: DCIM/C0002.MP4 to DCIM/C0003.MP4 on card 1", sheet, StringComparison.Ordinal);
        Assert.Contains("12:00:00", sheet, StringComparison.Ordinal);
    }

    [Fact]
    public void Sheet_TellsWhichRecorderCoversWhichClip()
    {
        // The recorder's clock is 90 s ahead: its clap at 12:01:30 is the camera's at 12:00:00.
        _history.See("card 2", "v2", 1, "recorder 1")
            .Find("card 2", "v2", 11, path: "T001.WAV", recorded: Noon + Duration.FromSeconds(90), minutes: 2)
            .Find("card 2", "v2", 12, path: "T002.WAV", recorded: Noon + Duration.FromSeconds(690), minutes: 2);

        string sheet = Sheet("days/2027-02-01.html");

        Assert.Contains("recorder 1 T001.WAV (100 %, by clock)", sheet, StringComparison.Ordinal);
        Assert.Contains("recorder 1 T002.WAV (100 %, by clock)", sheet, StringComparison.Ordinal);
        Assert.Contains("recorder 1 to camera 1: -90 s", sheet, StringComparison.Ordinal);
    }

    [Fact]
    public void Sheet_MatchesSoundByTimecodeFirst_HoweverWrongTheRecordersClock()
    {
        // The recorder's clock is two hours off, past all that clocks alone may bridge; its timecode was set to the camera's.
        _history.See("card 3", "v3", 2)
            .Find("card 3", "v3", 21, path: "P001.MOV", recorded: Noon, minutes: 4, timecode: Duration.FromHours(17))
            .Find("card 3", "v3", 22, path: "P002.MOV", recorded: Noon + Duration.FromMinutes(30), minutes: 4);
        _history.See("card 2", "v2", 2, "recorder 1")
            .Find("card 2", "v2", 11, path: "T001.WAV", recorded: Noon + Duration.FromHours(2), minutes: 4, timecode: Duration.FromHours(17) + Duration.FromMinutes(1))
            .Find("card 2", "v2", 12, path: "T002.WAV", recorded: Noon + Duration.FromHours(2) + Duration.FromMinutes(29), minutes: 6);

        string sheet = Sheet("days/2027-02-01.html");

        Assert.Contains("recorder 1 T001.WAV (75 %, by timecode)", sheet, StringComparison.Ordinal);

        // The pair taught how far the clocks are apart, so that the picture without timecode finds its sound by clock.
        Assert.Contains("recorder 1 T002.WAV (100 %, by clock)", sheet, StringComparison.Ordinal);
        Assert.Contains("recorder 1 to camera 1: -7140 s", sheet, StringComparison.Ordinal);
    }

    [Fact]
    public void Sheet_TimecodeOverMidnight_StillMeets()
    {
        _history.See("card 3", "v3", 1)
            .Find("card 3", "v3", 21, path: "P001.MOV", recorded: Noon, minutes: 4, timecode: Duration.FromHours(24) - Duration.FromMinutes(1));
        _history.See("card 2", "v2", 1, "recorder 1")
            .Find("card 2", "v2", 11, path: "T001.WAV", recorded: Noon, minutes: 4, timecode: Duration.FromMinutes(1));

        Assert.Contains("recorder 1 T001.WAV (50 %, by timecode)", Sheet("days/2027-02-01.html"), StringComparison.Ordinal);
    }

    [Fact]
    public void Sheet_TimecodeThatCountsFromNothing_FallsBackToTheClocks()
    {
        _history.See("card 3", "v3", 1)
            .Find("card 3", "v3", 21, path: "P001.MOV", recorded: Noon, minutes: 4, timecode: Duration.FromHours(17));
        _history.See("card 2", "v2", 1, "recorder 1")
            .Find("card 2", "v2", 11, path: "T001.WAV", recorded: Noon, minutes: 4, timecode: Duration.Zero);

        Assert.Contains("recorder 1 T001.WAV (100 %, by clock)", Sheet("days/2027-02-01.html"), StringComparison.Ordinal);
    }

    [Fact]
    public void Timecode_SurvivesTheInventory()
    {
        _history.See("card 3", "v3", 1)
            .Find("card 3", "v3", 21, path: "P001.MOV", recorded: Noon, timecode: Duration.FromSeconds(61_203));

        byte[] json = HandoverFiles.Of(Inventory, _history.Clock, "camp").Single(file => file.Path == "inventory.json").Bytes;

        Assert.Contains("\"timecode\": \"17:00:03\"", Encoding.UTF8.GetString(json), StringComparison.Ordinal);
        Assert.Equal(Duration.FromSeconds(61_203), InventoryJson.Read(json, out _)!.Clips.Single(clip => clip.Path == "P001.MOV").Timecode);
    }

    [Fact]
    public void Offset_OfARecorderThatRunsAllDay_StaysAtNone()
    {
        InventoryClip[] pictures = [.. Inventory.Clips.Where(clip => clip.Recorded is not null)];
        InventoryClip allDay = pictures[0] with { Path = "LONG.WAV", Recorded = Noon - Duration.FromHours(2), Length = Duration.FromHours(8) };

        Assert.Equal(Duration.Zero, SoundCover.Offset(pictures, [allDay]));
    }

    [Fact]
    public void Damage_IsNamed()
    {
        _history.Write(new ClipFound(FootageHistory.Clip(7), Id("card 1"), Id("v1"), "DCIM/C0005.MP4", ByteCount.FromGigabytes(1), null, Noon, null, "the index is missing"));

        Assert.Contains("DAMAGED: DCIM/C0005.MP4 (camera 1): the index is missing", Sheet("days/2027-02-01.html"), StringComparison.Ordinal);
    }

    private string Sheet(string path) => Encoding.UTF8.GetString(HandoverFiles.Of(Inventory, _history.Clock, "camp").Single(file => file.Path == path).Bytes);

    private byte[]? Read(string path) => File.Exists(Path.Combine(_folder, path)) ? File.ReadAllBytes(Path.Combine(_folder, path)) : null;

    private int Sha256Sum() => Check("/usr/bin/sha256sum", HandoverSeal.FileName);

    private int Check(string program, string list)
    {
        if (!File.Exists(program))
        {
            Assert.Skip($"{program} is not installed");
        }

        using Process tool = Process.Start(new ProcessStartInfo(program, ["-c", "--quiet", list])
        {
            WorkingDirectory = _folder,
            RedirectStandardOutput = true,
            RedirectStandardError = true,
        })!;
        tool.WaitForExit();
        return tool.ExitCode;
    }
}
