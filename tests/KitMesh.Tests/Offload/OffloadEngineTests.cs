using KitMesh.Disk.Media;
using KitMesh.Domain.Reports;
using KitMesh.Footage.Manifests;
using KitMesh.Offload.Drives;
using KitMesh.Offload.Engine;
using KitMesh.Offload.Hashing;
using KitMesh.TestKit.Offload;

namespace KitMesh.Tests.Offload;

/// <summary>Whole offloads of real files between real folders.</summary>
public sealed class OffloadEngineTests : IDisposable
{
    private const string Place = "2026-02-11/hide camera/card h1/";

    private readonly OffloadStage _stage = new();

    public void Dispose() => _stage.Dispose();

    [Fact]
    public void Run_MixedCard_EveryCopyIsEqualProvenAndTold()
    {
        _stage.Put("DCIM/100KIT/C0001.MP4", 9_000_001, 1);
        _stage.Put("DCIM/100KIT/C0002.MP4", 4 << 20, 2);
        _stage.Put("DCIM/100KIT/C0003.XML", 1234, 3);
        _stage.Put("DCIM/100KIT/EMPTY.TXT", 0, 4);
        _stage.Put("AUDIO/block.wav", 4096, 5);
        using (FileStream sparse = File.Create(Path.Combine(_stage.Card, "sparse.bin")))
        {
            sparse.SetLength(20_000_000);
            sparse.Seek(15_000_000, SeekOrigin.Begin);
            sparse.WriteByte(7);
        }

        OffloadOutcome outcome = _stage.Run();

        Assert.True(outcome.Verdict().MayFormat, string.Join("; ", outcome.Verdict().Reasons));
        Assert.Equal(18, outcome.CopiesVerified);
        foreach (string drive in _stage.Drives)
        {
            IReadOnlyDictionary<string, byte[]> files = OffloadStage.FilesOf(drive);
            Assert.Equal(6, files.Count);
            Assert.Equal(File.ReadAllBytes(Path.Combine(_stage.Card, "DCIM/100KIT/C0001.MP4")), files[Place + "DCIM/100KIT/C0001.MP4"]);
            Assert.Equal(File.ReadAllBytes(Path.Combine(_stage.Card, "sparse.bin")), files.Single(file => file.Key.EndsWith("sparse.bin", StringComparison.Ordinal)).Value);
            Assert.Empty(OffloadStage.PartialsOf(drive));
        }

        Assert.Equal(6, _stage.Reports.OfType<ClipFound>().Count());
        Assert.Equal(18, _stage.Reports.OfType<CopyMade>().Count());
        Assert.Equal(18, _stage.Reports.OfType<CopyVerified>().Count());
        Assert.Single(_stage.Reports.OfType<CardSeen>());
        Assert.All(outcome.Clips.SelectMany(clip => clip.Copies), copy => Assert.True(copy.Level >= ReadBackLevel.CacheDropped));
        Assert.Equal(
            new DateTime(2026, 2, 11, 16, 0, 0, DateTimeKind.Utc),
            File.GetLastWriteTimeUtc(Path.Combine(_stage.Drives[0], Place, "DCIM/100KIT/C0001.MP4")));
    }

    [Fact]
    public void Run_FactsOfOneClip_ComeInTheirOrder()
    {
        _stage.Put("a.mov", 3_000_000, 1);

        _stage.Run();

        List<Type> order = [.. _stage.Reports.Where(report => report is ClipFound or CopyMade or CopyVerified).Select(report => report.GetType())];
        Assert.Equal(typeof(ClipFound), order[0]);
        Assert.True(order.IndexOf(typeof(CopyMade)) < order.IndexOf(typeof(CopyVerified)));
    }

    [Theory]
    [InlineData(ReadBackOrder.Overlapping)]
    [InlineData(ReadBackOrder.Alternating)]
    public void Run_Again_CopiesNothingAndStillProves(ReadBackOrder order)
    {
        for (int i = 0; i < 150; i++)
        {
            _stage.Put($"DCIM/C{i:0000}.MP4", 1000 + i, i);
        }

        _stage.Run(request => request with { Order = order });
        DateTime[] written = [.. _stage.Drives.Select(drive => File.GetCreationTimeUtc(Path.Combine(drive, Place, "DCIM/C0007.MP4")))];
        OffloadOutcome again = _stage.Run(request => request with { Order = order });

        Assert.True(again.Verdict().MayFormat);
        Assert.All(again.Clips.SelectMany(clip => clip.Copies), copy => Assert.Equal(CopyState.VerifiedBefore, copy.State));
        Assert.Equal(written, _stage.Drives.Select(drive => File.GetCreationTimeUtc(Path.Combine(drive, Place, "DCIM/C0007.MP4"))));
        Assert.All(_stage.Drives, drive => Assert.Equal(150, OffloadStage.FilesOf(drive).Count));
    }

    [Fact]
    public void Run_DrivesOneAtATime_AddUpToTheSameProof()
    {
        _stage.Put("a.mov", 2_000_000, 1);
        foreach (string drive in _stage.Drives)
        {
            OffloadOutcome one = _stage.Run(request => request with { Drives = [new DriveTarget(drive)], CopiesWanted = 3 });
            Assert.False(one.Verdict().MayFormat);
            Assert.Equal(1, one.CopiesVerified);
        }

        OffloadOutcome all = _stage.Run();

        Assert.True(all.Verdict().MayFormat);
        Assert.All(all.Clips.Single().Copies, copy => Assert.Equal(CopyState.VerifiedBefore, copy.State));
    }

    [Fact]
    public void Run_SameNameOtherContent_KeepsBothAndOverwritesNeither()
    {
        _stage.Put("C0001.MP4", 50_000, 1);
        _stage.Run();

        // The camera formatted the card and began again at 0001, on the same day, with a file of the same size and time.
        string path = _stage.Put("C0001.MP4", 50_000, 2);
        OffloadOutcome outcome = _stage.Run();

        Assert.True(outcome.Verdict().MayFormat);
        foreach (string drive in _stage.Drives)
        {
            IReadOnlyDictionary<string, byte[]> files = OffloadStage.FilesOf(drive);
            Assert.Equal(2, files.Count);
            Assert.Equal(OffloadStage.Noise(50_000, 1), files[Place + "C0001.MP4"]);
            Assert.Equal(File.ReadAllBytes(path), files.Single(file => file.Key.Contains('~', StringComparison.Ordinal)).Value);
        }

        Assert.All(_stage.Run().Clips.Single().Copies, copy => Assert.Equal(CopyState.VerifiedBefore, copy.State));
    }

    [Fact]
    public void Run_SameContentUnderTwoNames_IsOneClipInTwoPlaces()
    {
        _stage.Put("a.mov", 5000, 1);
        _stage.Put("b/a copy.mov", 5000, 1);

        OffloadOutcome outcome = _stage.Run();

        Assert.Equal(outcome.Clips[0].Clip, outcome.Clips[1].Clip);
        Assert.All(_stage.Drives, drive => Assert.Equal(2, OffloadStage.FilesOf(drive).Count));
    }

    [Fact]
    public void Run_AfterTheListWasLost_AdoptsWhatIsThereAndCopiesNothing()
    {
        _stage.Put("a.mov", 3_000_000, 1);
        _stage.Put("b.mov", 1000, 2);
        _stage.Run();
        foreach (string drive in _stage.Drives)
        {
            File.Delete(Path.Combine(drive, ".kitmesh/copies"));
        }

        OffloadOutcome outcome = _stage.Run();

        Assert.True(outcome.Verdict().MayFormat);
        Assert.All(outcome.Clips.SelectMany(clip => clip.Copies), copy => Assert.Equal(CopyState.Verified, copy.State));
        Assert.All(_stage.Drives, drive => Assert.Equal(2, OffloadStage.FilesOf(drive).Count));
    }

    [Fact]
    public void Run_AdoptingWhileOtherCopiesAreReadBack_ProvesBoth()
    {
        // Every second copy is there and in no list: it is adopted while the one before, written now, is read back.
        const int Files = 24;
        for (int i = 0; i < Files; i++)
        {
            _stage.Put($"C{i:00}.mov", 6_000_000 + i, i);
        }

        _stage.Run();
        foreach (string drive in _stage.Drives)
        {
            File.Delete(Path.Combine(drive, ".kitmesh/copies"));
            for (int i = 0; i < Files; i += 2)
            {
                File.Delete(Path.Combine(drive, Place, $"C{i:00}.mov"));
            }
        }

        OffloadOutcome outcome = _stage.Run(request => request with { Order = ReadBackOrder.Overlapping });

        Assert.True(outcome.Verdict().MayFormat, string.Join("; ", outcome.Verdict().Reasons));
        Assert.Empty(_stage.Reports.OfType<CopyFailed>());
        Assert.All(_stage.Drives, drive => Assert.Equal(Files, OffloadStage.FilesOf(drive).Count));
    }

    [Fact]
    public void Run_UnfinishedFilesOfADeadRun_AreRemovedAndNeverBelieved()
    {
        _stage.Put("a.mov", 3_000_000, 1);
        string partial = Path.Combine(_stage.Drives[0], ".kitmesh/partial");
        Directory.CreateDirectory(partial);
        File.WriteAllBytes(Path.Combine(partial, "0"), OffloadStage.Noise(3_000_000, 9));
        string half = Path.Combine(_stage.Drives[1], Place, "a.mov");
        Directory.CreateDirectory(Path.GetDirectoryName(half)!);
        File.WriteAllBytes(half, [.. OffloadStage.Noise(3_000_000, 1)[..2_000_000], .. new byte[1_000_000]]);

        OffloadOutcome outcome = _stage.Run();

        Assert.True(outcome.Verdict().MayFormat);
        Assert.Empty(OffloadStage.PartialsOf(_stage.Drives[0]));
        Assert.Equal(2, OffloadStage.FilesOf(_stage.Drives[1]).Count);
        Assert.Contains(outcome.Remarks, remark => remark.Contains("unfinished", StringComparison.Ordinal));
    }

    [Fact]
    public void Run_CopyGoneFromADrive_IsToldAndMadeAnew()
    {
        _stage.Put("a.mov", 3000, 1);
        _stage.Run();
        File.Delete(Path.Combine(_stage.Drives[2], Place, "a.mov"));

        OffloadOutcome outcome = _stage.Run();

        Assert.Contains(_stage.Reports.OfType<CopyFailed>(), failed => failed is { Failure: CopyFailure.Missing, Drive.Value: "D3" });
        Assert.True(outcome.Verdict().MayFormat);
        Assert.Equal(CopyState.Verified, outcome.Clips.Single().Copies[2].State);
    }

    [Fact]
    public void Run_FlippedBitBetweenWriteAndReadBack_IsFoundSetAsideAndHoldsTheCard()
    {
        _stage.Put("a.mov", 3_000_000, 1);
        _stage.Put("b.mov", 3000, 2);
        _stage.OnReport = report =>
        {
            if (report is CopyMade { Drive.Value: "D2" } made && made.Path.EndsWith("a.mov", StringComparison.Ordinal))
            {
                using FileStream file = File.OpenWrite(Path.Combine(_stage.Drives[1], made.Path));
                file.Seek(1_234_567, SeekOrigin.Begin);
                file.WriteByte((byte)(OffloadStage.Noise(3_000_000, 1)[1_234_567] ^ 1));
            }
        };

        OffloadOutcome outcome = _stage.Run();

        CopyOutcome bad = outcome.Clips[0].Copies[1];
        Assert.Equal((CopyState.Failed, CopyFailure.HashDiffers), (bad.State, bad.Failure));
        Assert.False(outcome.Verdict().MayFormat);
        Assert.DoesNotContain(Place + "a.mov", OffloadStage.FilesOf(_stage.Drives[1]).Keys);
        Assert.Single(Directory.GetFiles(Path.Combine(_stage.Drives[1], ".kitmesh/bad")));

        _stage.OnReport = null;
        Assert.True(_stage.Run().Verdict().MayFormat);
    }

    [Fact]
    public void Run_FileThatGrowsWhileItIsRead_IsNamedAndHoldsTheCard()
    {
        string path = _stage.Put("a.mov", 40_000_000, 1);
        _stage.Put("b.mov", 1000, 2);
        using var stop = new CancellationTokenSource();
        var camera = new Thread(() =>
        {
            using FileStream file = new(path, FileMode.Append, FileAccess.Write, FileShare.ReadWrite);
            while (!stop.IsCancellationRequested)
            {
                file.WriteByte(1);
                file.Flush();
            }
        });
        camera.Start();

        OffloadOutcome outcome = _stage.Run();
        stop.Cancel();
        camera.Join();

        Assert.Equal(CopyFailure.ClipChanged, outcome.Clips.Single(clip => clip.Path == "a.mov").CardFailure);
        Assert.Equal(3, outcome.Clips.Single(clip => clip.Path == "b.mov").Proofs);
        Assert.False(outcome.Verdict().MayFormat);
        Assert.All(_stage.Drives, drive => Assert.Equal([Place + "b.mov"], OffloadStage.FilesOf(drive).Keys));
        Assert.All(_stage.Drives, drive => Assert.Empty(OffloadStage.PartialsOf(drive)));
    }

    [Fact]
    public void Run_LinksRoundAndOutOfTheCard_AreNotFollowed()
    {
        _stage.Put("DCIM/a.mov", 1000, 1);
        File.CreateSymbolicLink(Path.Combine(_stage.Card, "DCIM/round"), _stage.Card);
        File.CreateSymbolicLink(Path.Combine(_stage.Card, "DCIM/out"), "/etc");
        File.CreateSymbolicLink(Path.Combine(_stage.Card, "passwd"), "/etc/passwd");
        Directory.CreateDirectory(Path.Combine(_stage.Card, "System Volume Information"));
        _stage.Put("System Volume Information/IndexerVolumeGuid", 76, 2);

        OffloadOutcome outcome = _stage.Run();

        Assert.Equal("DCIM/a.mov", outcome.Clips.Single().Path);
        Assert.Equal(4, outcome.PassedOver.Count);
        Assert.True(outcome.Verdict().MayFormat);
    }

    [Fact]
    public void Run_NameThatIsNoText_IsCopiedUnderAnEscapedName()
    {
        string raw = $"{_stage.Card}/{RawName.FromBytes([0x43, 0xFF, 0x2E, 0x6D, 0x6F, 0x76])}";
        using (MediaFile file = MediaFile.Create(raw, wantDirect: false))
        {
            file.Write(0, OffloadStage.Noise(5000, 1));
            file.SetModified(1_770_825_600_000_000_000);
        }

        OffloadOutcome outcome = _stage.Run();

        Assert.True(outcome.Verdict().MayFormat);
        Assert.Equal(OffloadStage.Noise(5000, 1), OffloadStage.FilesOf(_stage.Drives[0])[Place + "C%FF.mov"]);
    }

    [Fact]
    public void Run_NamesThatOnlyDifferInWhatIsMadeSafe_AreBothKept()
    {
        _stage.Put("a:b.mov", 1000, 1);
        _stage.Put("a?b.mov", 2000, 2);

        OffloadOutcome outcome = _stage.Run();

        Assert.True(outcome.Verdict().MayFormat);
        Assert.All(_stage.Drives, drive => Assert.Equal(2, OffloadStage.FilesOf(drive).Count));
        Assert.All(_stage.Run().Clips.SelectMany(clip => clip.Copies), copy => Assert.Equal(CopyState.VerifiedBefore, copy.State));
    }

    [Fact]
    public void Run_PathTooLongForTheDrive_FailsThatClipAndKeepsTheRest()
    {
        _stage.Put("ok.mov", 1000, 1);

        // As deep as a path may be on the card; on a drive, day and source come on top.
        string folder = _stage.Card;
        while (folder.Length < 4080)
        {
            folder = Path.Combine(folder, new string('d', Math.Min(200, 4084 - folder.Length)));
        }

        Directory.CreateDirectory(folder);
        File.WriteAllBytes(Path.Combine(folder, "x.mov"), [1, 2, 3]);

        OffloadOutcome outcome = _stage.Run();

        Assert.Equal(3, outcome.Clips.Single(clip => clip.Path == "ok.mov").Proofs);
        Assert.False(outcome.Verdict().MayFormat);
    }

    [Fact]
    public void Try_DriveAsCard_IsRefused()
    {
        _stage.Put("a.mov", 1000, 1);
        _stage.Run();
        _stage.Card = _stage.Drives[0];
        _stage.Drives.RemoveAt(0);

        Assert.Contains("is a drive", Refusal(), StringComparison.Ordinal);
    }

    [Fact]
    public void Try_CardAndDriveInsideEachOther_IsRefusedBeforeAnythingIsWritten()
    {
        _stage.Put("a.mov", 1000, 1);
        string inside = Directory.CreateDirectory(Path.Combine(_stage.Card, "backup")).FullName;
        _stage.Drives[0] = inside;

        Assert.Contains("inside each other", Refusal(), StringComparison.Ordinal);
        Assert.Empty(Directory.GetFileSystemEntries(inside));
    }

    [Fact]
    public void Try_OneDriveUnderTwoNames_IsRefused()
    {
        _stage.Put("a.mov", 1000, 1);
        _stage.Run();
        string other = Path.Combine(_stage.Root, "again");
        Directory.CreateDirectory(Path.Combine(other, ".kitmesh"));
        File.Copy(Path.Combine(_stage.Drives[0], ".kitmesh/drive.json"), Path.Combine(other, ".kitmesh/drive.json"));
        _stage.Drives.Add(other);

        Assert.Contains("identity of another drive", Refusal(), StringComparison.Ordinal);
    }

    [Fact]
    public void Try_DriveThatAnotherStationHolds_IsRefusedOrLeftOut()
    {
        _stage.Put("a.mov", 1000, 1);
        using var held = ((DriveOpening.Taken)OpenDrive.Open(new DriveTarget(_stage.Drives[0]), () => 7)).Drive;

        Assert.Contains("another station", Refusal(), StringComparison.Ordinal);

        OffloadOutcome others = _stage.Run(request => request with { GoOnWithout = true });
        Assert.Equal(2, others.CopiesVerified);
    }

    [Fact]
    public void Run_RecordingWithoutItsMiddleChapter_HoldsTheCardUntilSomebodySaysSo()
    {
        _stage.Put("REC7_01.wav", 5000, 1);
        _stage.Put("REC7_03.wav", 5000, 2);

        OffloadOutcome outcome = _stage.Run();

        Assert.Contains("REC7_02.wav is missing", Assert.Single(outcome.Verdict().Reasons), StringComparison.Ordinal);
        Assert.True(outcome.Verdict(damagedOk: true).MayFormat);
    }

    [Fact]
    public void Run_ChapterThatAnotherCardHeld_IsNotMissing()
    {
        string middle = _stage.Put("REC7_02.wav", 5000, 3);
        _stage.Run(request => request with { Card = KitId.Parse("second slot") });
        File.Delete(middle);
        _stage.Put("REC7_01.wav", 5000, 1);
        string last = _stage.Put("REC7_03.wav", 5000, 2);

        Assert.Empty(_stage.Run().MissingChapters);

        // A file of that name from weeks before is another recording.
        File.SetLastWriteTimeUtc(last, File.GetLastWriteTimeUtc(last).AddDays(60));
        File.SetLastWriteTimeUtc(Path.Combine(_stage.Card, "REC7_01.wav"), File.GetLastWriteTimeUtc(last));
        Assert.Single(_stage.Run().MissingChapters);
    }

    [Fact]
    public void Run_EmptyCard_MayNotBeFormatted() => Assert.False(_stage.Run().Verdict().MayFormat);

    [Fact]
    public void Run_ExtraHashes_ComeFromTheSameReadAndGoIntoTheOutcome()
    {
        _stage.Put("a.mov", 6_000_000, 1);

        OffloadOutcome outcome = _stage.Run(request => request with { ExtraHashes = [.. Enum.GetValues<HashKind>()] });

        ClipOutcome clip = outcome.Clips.Single();
        Assert.Equal(7, clip.Hashes.Count);
        Assert.Equal(
            Convert.ToHexStringLower(System.Security.Cryptography.SHA256.HashData(OffloadStage.Noise(6_000_000, 1))),
            clip.Hashes.Single(hash => hash.Kind == HashKind.Sha256).Text);
        Assert.Equal(6_000_000, _stage.Progress.ReadBytes);
    }

    [Fact]
    public void Run_StoppedInTheMiddle_HoldsTheCardAndTheNextRunFinishes()
    {
        for (int i = 0; i < 300; i++)
        {
            _stage.Put($"C{i:0000}.MP4", 20_000, i);
        }

        using var stop = new CancellationTokenSource();
        _stage.OnReport = report =>
        {
            if (report is CopyMade)
            {
                stop.Cancel();
            }
        };
        _stage.Stop = stop.Token;
        OffloadOutcome stopped = _stage.Run();

        Assert.True(stopped.Stopped);
        Assert.False(stopped.Verdict().MayFormat);
        Assert.All(_stage.Drives, drive => Assert.Empty(OffloadStage.PartialsOf(drive)));

        _stage.OnReport = null;
        _stage.Stop = CancellationToken.None;
        OffloadOutcome done = _stage.Run();
        Assert.True(done.Verdict().MayFormat);
        Assert.All(_stage.Drives, drive => Assert.Equal(300, OffloadStage.FilesOf(drive).Count));
    }

    [Fact]
    public void Run_OnEachDrive_AddsAGenerationToItsHistory()
    {
        _stage.Put("a.mov", 1000, 1);
        _stage.Run(request => request with { ExtraHashes = [HashKind.C4, HashKind.Sha256] });
        _stage.Put("b.mov", 2000, 2);
        _stage.Run();
        _stage.Run();

        foreach (string drive in _stage.Drives)
        {
            MhlFolder history = MhlFolder.Read(drive, out string wrong)!;
            Assert.Empty(wrong);
            Assert.Equal(2, history.Generations.Count);
            MhlEntry first = history.Generations[0].Entries.Single();
            Assert.Equal((Place + "a.mov", 1000), (first.Path, first.Size));
            Assert.Equal(["c4", "xxh128"], first.Hashes.Select(hash => hash.Format));
            Assert.All(first.Hashes, hash => Assert.Equal(MhlAction.Original, hash.Action));
            Assert.Equal(Place + "b.mov", history.Generations[1].Entries.Single().Path);
            Assert.Equal("", history.Generations[1].Directories[0].Path);
            Assert.Contains(history.Generations[1].Directories, directory => directory.Path + "/" == Place);
        }
    }

    [Fact]
    public void Run_WhereAStrangersFileLies_TellsNoHashOfTheDirectoriesAboveIt()
    {
        _stage.Put("a.mov", 1000, 1);
        File.WriteAllText(Path.Combine(_stage.Drives[0], "notes.txt"), "not ours");
        _stage.Run();

        Assert.DoesNotContain(MhlFolder.Read(_stage.Drives[0], out _)!.Generations[0].Directories, directory => directory.Path.Length == 0);
        Assert.Contains(MhlFolder.Read(_stage.Drives[0], out _)!.Generations[0].Directories, directory => directory.Path + "/" == Place);
        Assert.Contains(MhlFolder.Read(_stage.Drives[1], out _)!.Generations[0].Directories, directory => directory.Path.Length == 0);
    }

    [Fact]
    public void Run_OnADriveWhoseHistoryWasAltered_CopiesAndSaysSoAndLeavesTheHistoryAlone()
    {
        _stage.Put("a.mov", 1000, 1);
        _stage.Run();
        string manifest = Directory.GetFiles(Path.Combine(_stage.Drives[0], "ascmhl"), "*.mhl").Single();
        File.AppendAllText(manifest, "<!-- altered -->");
        _stage.Put("b.mov", 2000, 2);

        OffloadOutcome outcome = _stage.Run();

        Assert.True(outcome.Verdict().MayFormat);
        Assert.Contains(outcome.Remarks, remark => remark.Contains("altered", StringComparison.Ordinal));
        Assert.Single(Directory.GetFiles(Path.Combine(_stage.Drives[0], "ascmhl"), "*.mhl"));
        Assert.Equal(2, Directory.GetFiles(Path.Combine(_stage.Drives[1], "ascmhl"), "*.mhl").Length);
    }

    [Fact]
    public void Run_CardWithAHistoryOfItsOwn_IsComparedWithIt()
    {
        _stage.Put("good.mov", 1000, 1);
        _stage.Put("changed.mov", 2000, 2);
        static MhlEntry Entry(string path, byte[] bytes) =>
            new(path, bytes.Length, null, [new("md5", Convert.ToHexStringLower(System.Security.Cryptography.MD5.HashData(bytes)), MhlAction.Original, null)]);
        var manifest = new MhlManifest(
            NodaTime.SystemClock.Instance.GetCurrentInstant(),
            "other",
            "other tool",
            "1",
            MhlProcess.InPlace,
            [],
            [Entry("good.mov", OffloadStage.Noise(1000, 1)), Entry("changed.mov", OffloadStage.Noise(2000, 9)), Entry("gone.mov", [1])],
            []);
        using (MediaFile top = MediaFile.OpenFolder(_stage.Card))
        {
            new MhlFolder(_stage.Card, [], []).Append(top, manifest);
        }

        OffloadOutcome outcome = _stage.Run();

        Assert.Null(outcome.Clips.Single(clip => clip.Path == "good.mov").Damage);
        Assert.Contains("manifest", outcome.Clips.Single(clip => clip.Path == "changed.mov").Damage, StringComparison.Ordinal);
        Assert.Equal("gone.mov", outcome.Unreadable.Single().Path);
        Assert.False(outcome.Verdict(damagedOk: true).MayFormat);
        Assert.Contains(outcome.Clips.Single(clip => clip.Path == "good.mov").Hashes, hash => hash.Kind == HashKind.Md5);
    }

    [Fact]
    public void Run_BrokenRecording_IsCopiedAndNamedAndHoldsTheCardUntilSomebodySaysSo()
    {
        // A movie whose camera lost power: pictures and no index.
        _stage.Put("a.mov", [0, 0, 0, 8, .. "ftyp"u8, 0, 0, 0x10, 0, .. "mdat"u8, .. OffloadStage.Noise(4088, 1)]);

        OffloadOutcome outcome = _stage.Run();

        Assert.Equal(3, outcome.Clips.Single().Proofs);
        Assert.Contains("no index", outcome.Clips.Single().Damage, StringComparison.Ordinal);
        Assert.Contains("no index", _stage.Reports.OfType<ClipFound>().Single().Damage, StringComparison.Ordinal);
        Assert.False(outcome.Verdict().MayFormat);
        Assert.True(outcome.Verdict(damagedOk: true).MayFormat);
    }

    private string Refusal() => string.Join("; ", Assert.IsType<OffloadResult.Refused>(_stage.Try()).Problems);
}
