using System.Diagnostics;
using System.IO.Hashing;
using KitMesh.Domain.Reports;
using KitMesh.Offload.Handover;
using KitMesh.TestKit.Offload;

namespace KitMesh.Tests.Offload.Handover;

/// <summary>The other side of a handover: real files in a temporary folder, moved, rotten, gone.</summary>
public sealed class HandoverCheckTests : IDisposable
{
    private static readonly KitId DriveA = KitId.Parse("drive A");

    private readonly string _root = Directory.CreateTempSubdirectory("kitmesh-check-").FullName;
    private readonly List<ExpectedClip> _expected = [];

    public void Dispose() => Directory.Delete(_root, recursive: true);

    [Fact]
    public void Drive_AsItWas_IsAllGood()
    {
        Put("day/a.mov", 1, 100_000);
        Put("day/b.mov", 2, 8_388_608);

        HandoverOutcome outcome = Check();

        Assert.True(outcome.IsGood);
        Assert.Equal((2, 2, 0), (outcome.Proven, outcome.Found.Count, outcome.Unknown));
    }

    [Fact]
    public void File_MovedAndRenamed_IsStillFound()
    {
        string path = Put("day/a.mov", 1, 100_000);
        Directory.CreateDirectory(Path.Combine(_root, "sorted"));
        File.Move(path, Path.Combine(_root, "sorted", "ibex at dawn.mov"));

        HandoverOutcome outcome = Check();

        Assert.True(outcome.IsGood);
        Assert.Equal("sorted/ibex at dawn.mov", outcome.Found.Single().Path);
    }

    [Fact]
    public void File_WithOneFlippedBit_IsBadAndItsClipMissing()
    {
        string path = Put("day/a.mov", 1, 100_000);
        using (FileStream file = File.OpenWrite(path))
        {
            file.Position = 77_777;
            file.WriteByte((byte)(OffloadStage.Noise(100_000, 1)[77_777] ^ 1));
        }

        HandoverOutcome outcome = Check();

        Assert.False(outcome.IsGood);
        Assert.Equal("day/a.mov", outcome.Bad.Single().Path);
        Assert.Single(outcome.Missing);
    }

    [Fact]
    public void File_CutShort_IsBad()
    {
        string path = Put("day/a.mov", 1, 100_000);
        using (FileStream file = File.OpenWrite(path))
        {
            file.SetLength(99_999);
        }

        Assert.Contains("has 99999 bytes", Check().Bad.Single().Why, StringComparison.Ordinal);
    }

    [Fact]
    public void Clip_OnAnotherDrive_IsMissing_UntilThatOneIsNamedToo()
    {
        string path = Put("day/a.mov", 1, 100_000);
        string other = Directory.CreateDirectory(Path.Combine(_root, "..", $"{Path.GetFileName(_root)}-other")).FullName;
        try
        {
            File.Move(path, Path.Combine(other, "a.mov"));

            Assert.Single(Check().Missing);
            Assert.True(HandoverCheck.Run(_expected, [_root, other], static (_, _) => { }, TestContext.Current.CancellationToken).IsGood);
        }
        finally
        {
            Directory.Delete(other, recursive: true);
        }
    }

    [Fact]
    public void Clip_ThatTheHandoverItselfMisses_IsToldAndNoFault()
    {
        Put("day/a.mov", 1, 100_000);
        _expected.Add(new ExpectedClip(new ClipHash(42), 5, "camera 1 gone.mov", Promised: false, []));

        HandoverOutcome outcome = Check();

        Assert.True(outcome.IsGood);
        Assert.Equal("camera 1 gone.mov", outcome.KnownMissing.Single().Name);
    }

    [Fact]
    public void Files_OfStrangers_AreCounted()
    {
        Put("day/a.mov", 1, 100_000);
        File.WriteAllText(Path.Combine(_root, "notes.txt"), "rained all day");
        File.WriteAllBytes(Path.Combine(_root, "same size.bin"), OffloadStage.Noise(100_000, 99));

        HandoverOutcome outcome = Check();

        Assert.True(outcome.IsGood);
        Assert.Equal(2, outcome.Unknown);
    }

    [Fact]
    public void Nothing_IsWritten()
    {
        Put("day/a.mov", 1, 100_000);
        string[] before = [.. Directory.EnumerateFileSystemEntries(_root, "*", SearchOption.AllDirectories).Order(StringComparer.Ordinal)];

        Check();

        Assert.Equal(before, Directory.EnumerateFileSystemEntries(_root, "*", SearchOption.AllDirectories).Order(StringComparer.Ordinal));
    }

    [Fact]
    public void Bag_IsValid_ForUsAndForSha512sum()
    {
        BagItem[] items = [Item(Put("a.mov", 1, 100_000), "2027-02-01/camera 1/a 100%.mov"), Item(Put("b.mov", 2, 50_001), "2027-02-01/camera 1/b.mov")];
        string bag = Path.Combine(_root, "bag");

        BagOutcome made = BagMaker.Make(bag, items, [("External-Identifier", "winter")], static (_, _) => { }, TestContext.Current.CancellationToken);

        Assert.True(made.IsGood, string.Join("; ", made.Faults));
        Assert.Equal((2, 150_001L), (made.Files, made.Bytes));
        Assert.True(BagCheck.Run(bag, static (_, _) => { }, TestContext.Current.CancellationToken).IsGood);
        Assert.Contains("Payload-Oxum: 150001.2", File.ReadAllText(Path.Combine(bag, "bag-info.txt")), StringComparison.Ordinal);
        Assert.Contains("a 100%25.mov", File.ReadAllText(Path.Combine(bag, "manifest-sha512.txt")), StringComparison.Ordinal);
        Assert.Equal(0, Sha512Sum(bag, "tagmanifest-sha512.txt"));
    }

    [Fact]
    public void Bag_Altered_IsNotValid()
    {
        string bag = Path.Combine(_root, "bag");
        BagMaker.Make(bag, [Item(Put("a.mov", 1, 100_000), "a.mov")], [], static (_, _) => { }, TestContext.Current.CancellationToken);
        File.WriteAllText(Path.Combine(bag, "data", "stowaway.txt"), "not named");
        using (FileStream file = File.OpenWrite(Path.Combine(bag, "data", "a.mov")))
        {
            file.Position = 5;
            file.WriteByte(0xAB);
        }

        BagOutcome outcome = BagCheck.Run(bag, static (_, _) => { }, TestContext.Current.CancellationToken);

        Assert.False(outcome.IsGood);
        Assert.Contains(outcome.Faults, fault => fault.Contains("stowaway.txt", StringComparison.Ordinal));
        Assert.Contains(outcome.Faults, fault => fault.StartsWith("data/a.mov: sha512", StringComparison.Ordinal));
    }

    [Fact]
    public void Bag_FirstSourceRotten_TakesTheSecond_NoneGood_SaysSo()
    {
        string rotten = Path.Combine(_root, "rotten.mov");
        File.WriteAllBytes(rotten, OffloadStage.Noise(100_000, 5));
        BagItem good = Item(Put("a.mov", 1, 100_000), "a.mov");

        BagOutcome made = BagMaker.Make(
            Path.Combine(_root, "bag"),
            [good with { From = [rotten, .. good.From] }, good with { Payload = "b.mov", From = [rotten] }, good with { Payload = "c.mov", From = [] }],
            [],
            static (_, _) => { },
            TestContext.Current.CancellationToken);

        Assert.Equal(1, made.Files);
        Assert.Contains(made.Faults, fault => fault.StartsWith("b.mov:", StringComparison.Ordinal) && fault.Contains("reads as", StringComparison.Ordinal));
        Assert.Contains(made.Faults, fault => fault.StartsWith("c.mov: none of the drives", StringComparison.Ordinal));
    }

    [Fact]
    public void Bag_IntoAFolderThatIsNotEmpty_IsRefused()
    {
        Put("a.mov", 1, 100);

        Assert.Throws<IOException>(() => BagMaker.Make(_root, [], [], static (_, _) => { }, TestContext.Current.CancellationToken));
    }

    [Fact]
    public void Bag_Stopped_IsNoBag()
    {
        using var stop = new CancellationTokenSource();
        stop.Cancel();
        string bag = Path.Combine(_root, "bag");

        Assert.True(BagMaker.Make(bag, [Item(Put("a.mov", 1, 100_000), "a.mov")], [], static (_, _) => { }, stop.Token).Stopped);
        Assert.False(BagCheck.IsBag(bag));
    }

    private HandoverOutcome Check() => HandoverCheck.Run(_expected, [_root], static (_, _) => { }, TestContext.Current.CancellationToken);

    private string Put(string path, int seed, int length)
    {
        byte[] bytes = OffloadStage.Noise(length, seed);
        string full = Path.Combine(_root, path);
        Directory.CreateDirectory(Path.GetDirectoryName(full)!);
        File.WriteAllBytes(full, bytes);
        _expected.Add(new ExpectedClip(new ClipHash(XxHash128.HashToUInt128(bytes)), length, $"camera 1 {path}", Promised: true, [new ExpectedCopy(DriveA, path)]));
        return full;
    }

    private BagItem Item(string file, string payload) => new(_expected[^1].Clip, _expected[^1].Size, payload, [file]);

    private static int Sha512Sum(string folder, string manifest)
    {
        if (!File.Exists("/usr/bin/sha512sum"))
        {
            Assert.Skip("sha512sum (coreutils) is not installed");
        }

        using Process tool = Process.Start(new ProcessStartInfo("/usr/bin/sha512sum", ["-c", "--quiet", manifest])
        {
            WorkingDirectory = folder,
            RedirectStandardOutput = true,
            RedirectStandardError = true,
        })!;
        tool.WaitForExit();
        return tool.ExitCode;
    }
}
