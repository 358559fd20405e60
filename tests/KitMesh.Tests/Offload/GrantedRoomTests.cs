using KitMesh.Domain.Reports;
using KitMesh.Offload.Drives;

namespace KitMesh.Tests.Offload;

/// <summary>A drive of which KitMesh may fill a part.</summary>
public sealed class GrantedRoomTests : IDisposable
{
    private readonly DirectoryInfo _root = Directory.CreateTempSubdirectory("kitmesh-room-");

    public void Dispose() => _root.Delete(recursive: true);

    [Fact]
    public void State_WithRoom_CountsWhatLiesThere()
    {
        long identity = Mark(1_000_000);
        File.WriteAllBytes(Path.Combine(Directory.CreateDirectory(Path.Combine(_root.FullName, "2027-02-11", "camera")).FullName, "clip.mov"), new byte[300_000]);

        DriveState state = DriveGlance.At(_root.FullName)!;

        Assert.Equal(1_000_000, (long)state.Capacity.Value);
        Assert.Equal(700_000 - identity, (long)state.Free.Value);
    }

    [Fact]
    public void State_FilledPastItsRoom_HasNothingFree()
    {
        Mark(1_000);
        File.WriteAllBytes(Path.Combine(_root.FullName, "clip.mov"), new byte[5_000]);

        Assert.Equal(0, (long)DriveGlance.At(_root.FullName)!.Free.Value);
    }

    [Theory]
    [InlineData(null)]
    [InlineData(0L)]
    [InlineData(-5L)]
    [InlineData(long.MaxValue)]
    public void State_WithoutARoomThatMeansAnything_IsTheFileSystems(long? room)
    {
        Mark(room);

        Assert.True(DriveGlance.At(_root.FullName)!.Capacity.Value > 1_000_000);
    }

    [Fact]
    public void Identity_WithAndWithoutRoom_ReadsAsWritten()
    {
        Mark(160_000_000);
        Assert.Equal(160_000_000, DriveIdentity.Read(_root.FullName)!.Room);
        Mark(null);
        Assert.Null(DriveIdentity.Read(_root.FullName)!.Room);
        Assert.DoesNotContain("room", File.ReadAllText(Path.Combine(_root.FullName, DriveIdentity.FilePath)), StringComparison.Ordinal);
    }

    private long Mark(long? room)
    {
        string file = Path.Combine(_root.FullName, DriveIdentity.FilePath);
        Directory.CreateDirectory(Path.GetDirectoryName(file)!);
        File.WriteAllText(file, new DriveIdentity(KitId.Parse("drive red"), "00000000000000aa") { Room = room }.ToFile());
        return new FileInfo(file).Length;
    }
}
