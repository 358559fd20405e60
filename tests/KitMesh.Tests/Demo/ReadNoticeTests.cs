using KitMesh.Demo.Devices;

namespace KitMesh.Tests.Demo;

public sealed class ReadNoticeTests : IDisposable
{
    private readonly DirectoryInfo _root = Directory.CreateTempSubdirectory("kitmesh-read-notice-");

    public void Dispose() => _root.Delete(recursive: true);

    [Fact]
    public void WasRead_TellsReadsAndNotWrites()
    {
        string file = Path.Combine(_root.FullName, "w1_slave");
        File.WriteAllText(file, "before");
        using var notice = new ReadNotice(_root.FullName);
        if (!notice.IsAble)
        {
            Assert.Skip("This system does not tell of reads (no inotify).");
        }

        Assert.False(notice.WasRead());
        File.WriteAllText(file + ".new", "now");
        File.Move(file + ".new", file, overwrite: true);
        Assert.False(notice.WasRead());
        Assert.Equal("now", File.ReadAllText(file));
        Assert.True(notice.WasRead());
        Assert.False(notice.WasRead());
    }

    [Fact]
    public void IsAble_FolderThatIsNotThere_IsNot()
    {
        using var notice = new ReadNotice(Path.Combine(_root.FullName, "nowhere"));

        Assert.False(notice.IsAble);
        Assert.False(notice.WasRead());
    }
}
