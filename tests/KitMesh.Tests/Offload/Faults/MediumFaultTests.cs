using KitMesh.Disk.Media;
using KitMesh.Domain.Reports;
using KitMesh.Offload.Engine;
using KitMesh.Offload.Recheck;
using KitMesh.TestKit.Offload;
using NodaTime;

namespace KitMesh.Tests.Offload.Faults;

/// <summary>Faults of real file systems on loop devices and in memory. Where a machine lacks one, the test says so.</summary>
public sealed class MediumFaultTests : IDisposable
{
    private readonly OffloadStage _stage = new();
    private readonly List<LoopDrive> _loops = [];

    public void Dispose()
    {
        _loops.ForEach(loop => loop.Dispose());
        _stage.Dispose();
    }

    [Theory]
    [InlineData("ext4", ReadBackLevel.Direct)]
    [InlineData("xfs", ReadBackLevel.Direct)]
    [InlineData("btrfs", ReadBackLevel.Direct)]
    [InlineData("exfat", ReadBackLevel.CacheDropped)]
    [InlineData("vfat", ReadBackLevel.CacheDropped)]
    [InlineData("tmpfs", ReadBackLevel.Cached)]
    public void Run_OnAFileSystem_ProvesAndSaysHowSurely(string type, ReadBackLevel atLeast)
    {
        LoopDrive drive = Make(type, 350);
        _stage.Put("big.mov", 9_000_001, 1);
        _stage.Put("small.xml", 777, 2);
        _stage.Put("empty.txt", 0, 3);
        _stage.Drives.Clear();
        _stage.Drives.Add(drive.Folder);

        OffloadOutcome outcome = _stage.Run();

        Assert.Equal(0, outcome.Failed);
        Assert.Equal(OffloadStage.Noise(9_000_001, 1), OffloadStage.FilesOf(drive.Folder).Single(file => file.Key.EndsWith("big.mov", StringComparison.Ordinal)).Value);
        Assert.All(outcome.Clips.Select(clip => clip.Copies[0]), copy => Assert.True(copy.Level >= atLeast, $"{copy.Level}"));
        if (type == "tmpfs")
        {
            // Memory is no medium: equal bytes there prove nothing.
            Assert.All(outcome.Clips, clip => Assert.Equal(0, clip.Proofs));
        }
    }

    [Fact]
    public void Run_NamesThatDifferByCase_AreBothKeptOnAFileSystemThatIgnoresCase()
    {
        LoopDrive drive = Make("exfat", 64);
        _stage.Put("DCIM/clip.mov", 10_000, 1);
        _stage.Put("DCIM/CLIP.MOV", 10_000, 2);
        _stage.Put("DCIM/Clip.mov", 20_000, 3);
        _stage.Drives[0] = drive.Folder;

        OffloadOutcome outcome = _stage.Run();

        Assert.True(outcome.Verdict().MayFormat, string.Join("; ", outcome.Verdict().Reasons));
        Assert.Equal(3, OffloadStage.FilesOf(drive.Folder).Count);
        OffloadOutcome again = _stage.Run();
        Assert.All(again.Clips.SelectMany(clip => clip.Copies), copy => Assert.Equal(CopyState.VerifiedBefore, copy.State));
        Assert.Equal(3, OffloadStage.FilesOf(drive.Folder).Count);
    }

    [Fact]
    public void Run_DriveTooSmallBeforeItStarts_IsToldWithTheDaysThatFit()
    {
        LoopDrive drive = Make("tmpfs", 10);
        _stage.Put("monday.mov", 4_000_000, 1);
        File.SetLastWriteTimeUtc(_stage.Put("tuesday.mov", 4_500_000, 2), new DateTime(2026, 2, 12, 10, 0, 0, DateTimeKind.Utc));
        _stage.Drives[1] = drive.Folder;

        OffloadOutcome outcome = _stage.Run();

        Assert.False(outcome.Verdict().MayFormat);
        Assert.All(outcome.Clips, clip => Assert.Equal(CopyFailure.DriveFull, clip.Copies[1].Failure));
        Assert.Contains("2026-02-11", outcome.Clips[0].Copies[1].Detail, StringComparison.Ordinal);
        Assert.Empty(OffloadStage.FilesOf(drive.Folder));
        Assert.All(outcome.Clips, clip => Assert.Equal(2, clip.Proofs));

        OffloadOutcome byDay = _stage.Run(request => request with { FitDays = true });
        Assert.Equal(["monday.mov"], OffloadStage.FilesOf(drive.Folder).Keys.Select(key => Path.GetFileName(key)));
        Assert.Equal(CopyFailure.DriveFull, byDay.Clips.Single(clip => clip.Path == "tuesday.mov").Copies[1].Failure);
    }

    [Theory]
    [InlineData("ext4")]
    [InlineData("xfs")]
    [InlineData("btrfs")]
    [InlineData("exfat")]
    public void Run_DriveThatFillsUpMeanwhile_LosesOnlyWhatDidNotFit(string type)
    {
        LoopDrive drive = Make(type, 520);
        for (int i = 0; i < 12; i++)
        {
            _stage.Put($"C{i}.mov", 30_000_000, i);
        }

        _stage.Drives[1] = drive.Folder;
        bool filled = false;
        _stage.OnReport = report =>
        {
            // Somebody else writes to the drive after the space was checked. What was written of the first batch waits here.
            if (report is ClipFound && !filled)
            {
                filled = true;
                Fill(drive.Folder, leave: 20_000_000);
            }
        };

        OffloadOutcome outcome = _stage.Run(request => request with { Order = ReadBackOrder.Alternating });

        Assert.False(outcome.Verdict().MayFormat);
        Assert.True(filled, "the offload was refused before it began");
        Assert.Contains(outcome.Clips, clip => clip.Copies[1].Failure == CopyFailure.DriveFull);
        Assert.All(outcome.Clips, clip => Assert.Equal((true, true), (clip.Copies[0].IsProof, clip.Copies[2].IsProof)));
        Assert.Empty(OffloadStage.PartialsOf(drive.Folder));

        // Room again: the next run adds what is missing and nothing else.
        File.Delete(Path.Combine(drive.Folder, "filler"));
        _stage.OnReport = null;
        OffloadOutcome again = _stage.Run();
        Assert.True(again.Verdict().MayFormat, string.Join("; ", again.Verdict().Reasons));
        Assert.Equal(12, OffloadStage.FilesOf(drive.Folder).Count);
    }

    [Fact]
    public void Run_DrivePulledWhileWriting_IsToldOnceForEachClipAndTheOthersFinish()
    {
        LoopDrive drive = Make("ext4", 350);
        for (int i = 0; i < 5; i++)
        {
            _stage.Put($"C{i}.mov", 20_000_000, i);
        }

        _stage.Drives[1] = drive.Folder;
        bool pulled = false;
        _stage.OnReport = report =>
        {
            if (report is ClipFound && !pulled)
            {
                pulled = true;
                drive.Pull();
            }
        };

        OffloadOutcome outcome = _stage.Run();

        Assert.All(outcome.Clips, clip => Assert.Equal(2, clip.Proofs));
        Assert.All(outcome.Clips, clip => Assert.Equal((CopyState.Failed, CopyFailure.DriveGone), (clip.Copies[1].State, clip.Copies[1].Failure)));
        Assert.Equal(5, _stage.Reports.OfType<CopyFailed>().Count(failed => failed.Drive?.Value == outcome.Clips[0].Copies[1].Drive.Value));

        // Nothing may be written into the empty folder that the drive leaves behind.
        Assert.Empty(Directory.GetFileSystemEntries(drive.Folder));
    }

    [Fact]
    public void Run_DrivePulledWhileReadingBack_LeavesNoProof()
    {
        LoopDrive drive = Make("ext4", 350);
        _stage.Put("a.mov", 20_000_000, 1);
        _stage.Drives[1] = drive.Folder;
        _stage.OnReport = report =>
        {
            if (report is CopyMade made && made.Drive.Value == Path.GetFileName(drive.Folder))
            {
                drive.Pull();
            }
        };

        OffloadOutcome outcome = _stage.Run(request => request with { Order = ReadBackOrder.Alternating });

        Assert.Equal(CopyFailure.DriveGone, outcome.Clips.Single().Copies[1].Failure);
        Assert.Equal(2, outcome.Clips.Single().Proofs);
    }

    [Fact]
    public void Run_DriveThatForgetsUnderIt_CountsOnlyWhatItGivesBack()
    {
        LoopDrive drive = Make("ext4", 350);
        for (int i = 0; i < 8; i++)
        {
            _stage.Put($"C{i}.mov", 20_000_000, i);
        }

        _stage.Drives[1] = drive.Folder;
        bool broken = false;
        _stage.OnReport = report =>
        {
            if (report is CopyMade made && made.Drive.Value == Path.GetFileName(drive.Folder) && !broken)
            {
                broken = true;

                // The medium loses all but its first megabytes, after the flush said that all is well.
                using FileStream image = new(drive.Image, FileMode.Open, FileAccess.ReadWrite, FileShare.ReadWrite);
                long size = image.Length;
                image.SetLength(30 << 20);
                image.SetLength(size);
            }
        };

        OffloadOutcome outcome = _stage.Run(request => request with { Order = ReadBackOrder.Alternating });

        Assert.False(outcome.Verdict().MayFormat);
        Assert.Contains(outcome.Clips, clip => clip.Copies[1].Failure == CopyFailure.HashDiffers);
        Assert.All(outcome.Clips, clip => Assert.Equal((true, true), (clip.Copies[0].IsProof, clip.Copies[2].IsProof)));
    }

    [Fact]
    public void Run_DriveThatIsSmallerThanItSays_CountsOnlyWhatItHolds()
    {
        LoopDrive small = Make("tmpfs", 64);
        LoopDrive? drive = LoopDrive.Make("ext4", 350, out string why, small.Folder);
        if (drive is null)
        {
            Assert.Skip($"no loop device on a file in memory here: {why}");
        }

        _loops.Insert(0, drive);
        for (int i = 0; i < 8; i++)
        {
            _stage.Put($"C{i}.mov", 20_000_000, i);
        }

        _stage.Drives[1] = drive.Folder;

        OffloadOutcome outcome = _stage.Run();

        Assert.False(outcome.Verdict().MayFormat);
        Assert.All(outcome.Clips, clip => Assert.Equal((true, true), (clip.Copies[0].IsProof, clip.Copies[2].IsProof)));
        Assert.InRange(outcome.Clips.Count(clip => clip.Copies[1].IsProof), 0, 3);
        Assert.InRange(outcome.Clips.Count(clip => clip.Copies[1].State == CopyState.Failed), 5, 8);
    }

    [Fact]
    public void Run_ReadOnlyDrive_IsRefusedInWords()
    {
        LoopDrive drive = Make("ext4", 32);
        if (!drive.Remount("ro"))
        {
            Assert.Skip("this machine cannot remount read-only");
        }

        _stage.Put("a.mov", 1000, 1);
        _stage.Drives[0] = drive.Folder;

        Assert.Contains("Read-only", Assert.IsType<OffloadResult.Refused>(_stage.Try()).Problems[0], StringComparison.OrdinalIgnoreCase);
    }

    [Fact]
    public void Run_BadSectorsOnTheCard_NamesThoseClipsAndSavesTheRest()
    {
        LoopDrive card = Make("ext4", 96);
        for (int i = 0; i < 8; i++)
        {
            File.WriteAllBytes(Path.Combine(card.Folder, $"C{i}.mov"), OffloadStage.Noise(8_000_000, i));
        }

        if (!card.Remount("ro"))
        {
            Assert.Skip("this machine cannot remount read-only");
        }

        // What lies past 60 % of the card cannot be read any more.
        using (FileStream image = new(card.Image, FileMode.Open, FileAccess.ReadWrite, FileShare.ReadWrite))
        {
            image.SetLength(image.Length * 6 / 10);
        }

        _stage.Card = card.Folder;
        OffloadOutcome outcome = _stage.Run();

        List<ClipOutcome> lost = [.. outcome.Clips.Where(clip => clip.CardFailure is not null)];
        List<ClipOutcome> saved = [.. outcome.Clips.Where(clip => clip.CardFailure is null)];
        Assert.NotEmpty(lost);
        Assert.NotEmpty(saved);
        Assert.All(lost, clip => Assert.Equal(CopyFailure.CardUnreadable, clip.CardFailure));
        Assert.All(saved, clip => Assert.Equal(3, clip.Proofs));
        Assert.False(outcome.Verdict().MayFormat);
        Assert.All(_stage.Drives, drive => Assert.Equal(saved.Count, OffloadStage.FilesOf(drive).Count));
        Assert.All(_stage.Drives, drive => Assert.Empty(OffloadStage.PartialsOf(drive)));

        // What was saved of a clip with holes lies apart, beside a list of its holes, and equals the clip everywhere else.
        foreach (string saved1 in Directory.Exists(Path.Combine(_stage.Drives[0], "salvaged")) ? Directory.GetFiles(Path.Combine(_stage.Drives[0], "salvaged"), "*.mov", SearchOption.AllDirectories) : [])
        {
            Assert.NotEmpty(File.ReadAllText(saved1 + ".holes.txt"));
            byte[] bytes = File.ReadAllBytes(saved1);
            byte[] clip = OffloadStage.Noise(8_000_000, Path.GetFileName(saved1)[1] - '0');
            Assert.Equal(clip.Length, bytes.Length);
            int differ = Enumerable.Range(0, clip.Length).Count(i => bytes[i] != clip[i] && bytes[i] != 0);
            Assert.Equal(0, differ);
        }
    }

    [Fact]
    public void Run_CardThatIsAMount_IsMadeReadOnlyOnDemand()
    {
        LoopDrive card = Make("ext4", 32);
        File.WriteAllBytes(Path.Combine(card.Folder, "C1.mov"), OffloadStage.Noise(1_000_000, 1));
        _stage.Card = card.Folder;

        OffloadOutcome outcome = _stage.Run(request => request with { ProtectCard = true });

        Assert.True(outcome.Verdict().MayFormat);
        Assert.True(MountTable.Of(card.Folder)!.IsReadOnly);
        Assert.ThrowsAny<IOException>(() => File.WriteAllText(Path.Combine(card.Folder, "new"), "x"));
    }

    [Fact]
    public void Recheck_OfADriveMountedAgain_ProvesAtThatLevel()
    {
        LoopDrive drive = Make("ext4", 64);
        _stage.Put("a.mov", 3_000_000, 1);
        _stage.Drives[0] = drive.Folder;
        _stage.Run();

        var result = Assert.IsType<RecheckResult.Ran>(new RecheckEngine(SystemClock.Instance, TimeProvider.System, () => 1).Run(
            new RecheckRequest(drive.Folder) { Remount = true }, static _ => { }, static (_, _) => { }, CancellationToken.None));

        Assert.Equal(ReadBackLevel.Remounted, Assert.Single(result.Outcome.Copies).Level);
    }

    [Fact]
    public void Run_CardPulledInTheMiddle_HoldsAndTheNextRunFinishes()
    {
        LoopDrive card = Make("ext4", 350);
        for (int i = 0; i < 6; i++)
        {
            File.WriteAllBytes(Path.Combine(card.Folder, $"C{i}.mov"), OffloadStage.Noise(20_000_000, i));
        }

        _stage.Card = card.Folder;
        bool pulled = false;
        _stage.OnReport = report =>
        {
            if (report is ClipFound && !pulled)
            {
                pulled = true;
                card.Pull();
            }
        };

        OffloadOutcome outcome = _stage.Run();

        Assert.False(outcome.Verdict().MayFormat);
        Assert.Contains(outcome.Clips, clip => clip.CardFailure == CopyFailure.CardUnreadable);
        Assert.False(outcome.CardSteady);

        _stage.OnReport = null;
        Assert.True(LoopDrive.Do($"mount {card.Device} {card.Folder}", out string why), why);
        OffloadOutcome again = _stage.Run();
        Assert.True(again.Verdict().MayFormat, string.Join("; ", again.Verdict().Reasons));
        Assert.All(_stage.Drives, drive => Assert.Equal(6, OffloadStage.FilesOf(drive).Count));
    }

    private LoopDrive Make(string type, int megabytes)
    {
        LoopDrive? drive = LoopDrive.Make(type, megabytes, out string why);
        if (drive is null)
        {
            Assert.Skip($"no {type} to break on this machine: {why}");
        }

        _loops.Add(drive);
        return drive;
    }

    private static void Fill(string folder, long leave)
    {
        var drive = new DriveInfo(folder);
        using FileStream file = new(Path.Combine(folder, "filler"), FileMode.Create, FileAccess.Write, FileShare.None, bufferSize: 0);
        byte[] piece = new byte[1 << 20];
        try
        {
            while (drive.AvailableFreeSpace > leave)
            {
                file.Write(piece);
                file.Flush(flushToDisk: true);
            }
        }
        catch (IOException)
        {
            // Full is full: some file systems say so before their free space is gone.
        }
    }
}
