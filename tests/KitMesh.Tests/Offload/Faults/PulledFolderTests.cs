using KitMesh.Disk.Media;
using KitMesh.Offload.Drives;

namespace KitMesh.Tests.Offload.Faults;

/// <summary>Between any two steps a drive can be pulled, and another folder stands at its path: what is made then belongs on the drive, or nowhere.</summary>
public sealed class PulledFolderTests : IDisposable
{
    private readonly string _root = Directory.CreateTempSubdirectory("kitmesh-pulled-").FullName;
    private readonly string _mount;
    private readonly string _away;
    private readonly OpenDrive _drive;

    public PulledFolderTests()
    {
        _mount = Directory.CreateDirectory($"{_root}/mount").FullName;
        _away = $"{_root}/away";
        _drive = Assert.IsType<DriveOpening.Taken>(OpenDrive.Open(new DriveTarget(_mount), () => 7)).Drive;
    }

    public void Dispose()
    {
        _drive.Dispose();
        Directory.Delete(_root, recursive: true);
    }

    [Fact]
    public void MakeFolderOf_DriveStillThere_MakesEveryFolder()
    {
        string folder = _drive.MakeFolderOf("2026-02-11/A/clip.mov");

        Assert.Equal($"{_mount}/2026-02-11/A", folder);
        Assert.True(Directory.Exists(folder));
        Assert.Equal(_mount, _drive.MakeFolderOf("clip.mov"));
    }

    [Fact]
    public void MakeFolderOf_DrivePulledBefore_LeavesTheEmptyFolderAlone()
    {
        Pull();

        _drive.MakeFolderOf("2026-02-11/A/clip.mov");

        Assert.Empty(Directory.GetFileSystemEntries(_mount));
        Assert.True(Directory.Exists($"{_away}/2026-02-11/A"));
    }

    [Fact]
    public void SetAside_DrivePulledBefore_LeavesTheEmptyFolderAlone()
    {
        File.WriteAllBytes($"{_mount}/clip.mov", [1]);
        Pull();

        _drive.SetAside("clip.mov");

        Assert.Empty(Directory.GetFileSystemEntries(_mount));
        Assert.True(File.Exists($"{_away}/clip.mov"));
    }

    [Fact]
    public void Make_UnderAFile_IsRefused()
    {
        File.WriteAllBytes($"{_mount}/clip.mov", [1]);

        Assert.Throws<MediaFault>(() => _drive.MakeFolderOf("clip.mov/inside.mov"));
    }

    /// <summary>As a lazy unmount: the open root lives on, and an empty folder stands at its path.</summary>
    private void Pull()
    {
        Directory.Move(_mount, _away);
        Directory.CreateDirectory(_mount);
    }
}
