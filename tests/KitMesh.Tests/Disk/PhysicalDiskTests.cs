using KitMesh.Disk;

namespace KitMesh.Tests.Disk;

/// <summary>The machine's own file system behind the disk's border.</summary>
public sealed class PhysicalDiskTests : IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("kitmesh-disk-").FullName;
    private readonly PhysicalDisk _disk = new();

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [Fact]
    public void Write_ThenRead_GivesTheBytesBackUpToTheEnd()
    {
        using IDiskFile file = _disk.Open(At("a"), DiskOpen.New).Value;
        Assert.Equal(DiskResult.Done, file.Write(5, "hello"u8));
        Assert.Equal(DiskResult.Done, file.Sync());
        byte[] into = new byte[20];
        Assert.Equal(10, file.Read(0, into).Value);
        Assert.Equal("\0\0\0\0\0hello"u8.ToArray(), into[..10]);
        Assert.Equal(10, file.Length().Value);
        Assert.Equal(DiskResult.Done, file.SetLength(7));
        Assert.Equal(2, file.Read(5, into).Value);
    }

    [Fact]
    public void Open_WrongState_IsAFaultNotAnException()
    {
        Assert.Equal(DiskFaultKind.NotFound, _disk.Open(At("none"), DiskOpen.ToRead).Fault!.Kind);
        Assert.Equal(DiskFaultKind.NotFound, _disk.Open(At("none/none"), DiskOpen.New).Fault!.Kind);
        _disk.Open(At("a"), DiskOpen.New).Value.Dispose();
        Assert.Equal(DiskFaultKind.AlreadyThere, _disk.Open(At("a"), DiskOpen.New).Fault!.Kind);
        Assert.Equal(DiskFaultKind.NotFound, _disk.Delete(At("none")).Fault!.Kind);
        Assert.Equal(DiskFaultKind.NotFound, _disk.Find(At("none")).Fault!.Kind);
        Assert.Equal(DiskFaultKind.NotFound, _disk.List(At("none")).Fault!.Kind);
        Assert.Equal(DiskFaultKind.NotFound, _disk.SyncDirectory(At("none")).Fault!.Kind);
    }

    [Fact]
    public void Write_NoSpaceOnTheDevice_IsNoSpace()
    {
        if (!File.Exists("/dev/full"))
        {
            Assert.Skip("needs /dev/full (Linux)");
        }

        using IDiskFile full = _disk.Open("/dev/full", DiskOpen.ToWrite).Value;
        DiskFault fault = full.Write(0, "x"u8).Fault!;
        Assert.Equal(DiskFaultKind.NoSpace, fault.Kind);
        Assert.Contains("no space is left", fault.ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public void Write_FileOpenedToRead_IsAFault()
    {
        _disk.Open(At("a"), DiskOpen.New).Value.Dispose();
        using IDiskFile file = _disk.Open(At("a"), DiskOpen.ToRead).Value;
        Assert.NotNull(file.Write(0, "x"u8).Fault);
    }

    [Fact]
    public void Move_TargetTaken_GivesWayOnlyWhenAsked()
    {
        Put("a", "one");
        Put("b", "two");
        Assert.Equal(DiskFaultKind.AlreadyThere, _disk.Move(At("a"), At("b")).Fault!.Kind);
        Assert.Equal(DiskResult.Done, _disk.Move(At("a"), At("b"), replace: true));
        Assert.Equal(["b"], _disk.List(_folder).Value.Select(entry => entry.Name));
        Assert.Equal("one", File.ReadAllText(At("b")));
    }

    [Fact]
    public void CreateDirectory_WithParents_CanBeListedSyncedAndDeleted()
    {
        Assert.Equal(DiskResult.Done, _disk.CreateDirectory(At("x/y/z")));
        Assert.Equal(DiskResult.Done, _disk.CreateDirectory(At("x/y/z")));
        Assert.Equal(DiskResult.Done, _disk.SyncDirectory(At("x/y")));
        DiskEntry entry = Assert.Single(_disk.List(At("x/y")).Value);
        Assert.Equal(("z", true), (entry.Name, entry.IsDirectory));
        Assert.Equal(DiskFaultKind.AlreadyThere, _disk.Delete(At("x/y")).Fault!.Kind);
        Assert.Equal(DiskResult.Done, _disk.Delete(At("x/y/z")));
    }

    [Fact]
    public void SetModified_ThenFind_TellsTheTime()
    {
        Put("a", "one");
        const long Time = 1_770_000_000_123_456_700;
        Assert.Equal(DiskResult.Done, _disk.SetModified(At("a"), Time));
        Assert.Equal((3L, Time), (_disk.Find(At("a")).Value.Length, _disk.Find(At("a")).Value.ModifiedUnixNanoseconds));
    }

    [Fact]
    public void List_SymbolicLink_IsNotFollowed()
    {
        File.CreateSymbolicLink(At("link"), "/nowhere");
        Assert.True(Assert.Single(_disk.List(_folder).Value).IsLink);
        Assert.True(_disk.Find(At("link")).Value.IsLink);
        Assert.Equal(DiskResult.Done, _disk.Delete(At("link")));
        Assert.Empty(_disk.List(_folder).Value);
    }

    [Fact]
    public void Space_OfAFolder_IsAsTheSystemSays()
    {
        DiskSpace space = _disk.Space(_folder).Value;
        Assert.InRange(space.FreeBytes, 1, space.TotalBytes);
        Assert.NotEmpty(space.Format);
    }

    [Fact]
    public void Lock_HeldAlready_SaysByWhomAndCanBeTakenAgainLater()
    {
        IDisposable held = _disk.Lock(At("lock")).Value;
        DiskFault fault = _disk.Lock(At("lock")).Fault!;
        Assert.Equal(DiskFaultKind.InUse, fault.Kind);
        Assert.Contains($"process {Environment.ProcessId}", fault.ToString(), StringComparison.Ordinal);
        held.Dispose();
        _disk.Lock(At("lock")).Value.Dispose();
    }

    [Fact]
    public void Open_Direct_ReadsAndWritesAlignedBuffers()
    {
        using var buffer = new AlignedBuffer(8192);
        DiskResult<IDiskFile> opened = _disk.Open(At("direct"), DiskOpen.New.Directly);
        if (opened.Fault is { Kind: DiskFaultKind.NotSupported })
        {
            Assert.Skip("the temporary folder's file system has no direct I/O");
        }

        using IDiskFile file = opened.Value;
        buffer.Span.Fill(0x5A);
        Assert.Equal(DiskResult.Done, file.Write(0, buffer.Span));
        Assert.Equal(DiskResult.Done, file.SetLength(5000));
        Assert.Equal(DiskResult.Done, file.Sync());
        buffer.Span.Clear();
        Assert.Equal(5000, file.Read(0, buffer.Span).Value);
        Assert.Equal(5000, buffer.Span.Count((byte)0x5A));
        Assert.Throws<ArgumentException>(() => file.Write(1, buffer.Span));
        Assert.Throws<ArgumentException>(() => file.Read(0, new byte[100]));
    }

    [Fact]
    public void Reserve_OnLinux_KeepsTheLength()
    {
        using IDiskFile file = _disk.Open(At("r"), DiskOpen.New).Value;
        DiskResult reserved = file.Reserve(1 << 20);
        if (reserved.Fault is { Kind: DiskFaultKind.NotSupported })
        {
            Assert.Skip("the temporary folder's file system does not reserve");
        }

        Assert.Equal(DiskResult.Done, reserved);
        Assert.Equal(0, file.Length().Value);
        Assert.Equal(DiskResult.Done, file.Sync());
        Assert.Equal(DiskResult.Done, file.DropCache());
    }

    private string At(string name) => Path.Combine(_folder, name);

    private void Put(string name, string text) => File.WriteAllText(At(name), text);
}
