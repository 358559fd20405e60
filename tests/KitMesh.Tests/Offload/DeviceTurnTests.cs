using KitMesh.Domain.Reports;
using KitMesh.Offload.Engine;
using KitMesh.TestKit.Offload;

namespace KitMesh.Tests.Offload;

public sealed class DeviceTurnTests : IDisposable
{
    private readonly OffloadStage _stage = new();

    public void Dispose() => _stage.Dispose();

    [Fact]
    public void Among_DrivesOfOneSpinningDisk_IsOneTurnForThem()
    {
        IReadOnlyList<DeviceTurn?> turns = DeviceTurn.Among([("sda", true), ("sdb", true), ("sda", true), ("sdc", false), ("sdc", false), (null, true)]);

        Assert.NotNull(turns[0]);
        Assert.Same(turns[0], turns[2]);
        Assert.All([turns[1], turns[3], turns[4], turns[5]], Assert.Null);
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void Run_DrivesOnOneDisk_EndWithTheSameProofsWhetherTheyTakeTurnsOrNot(bool turns)
    {
        // More than all buffers hold, beside many small files: whoever waits for its turn must not hold what the other needs.
        _stage.Put("large.mov", 70_000_001, 1);
        for (int i = 0; i < 60; i++)
        {
            _stage.Put($"small{i}.xml", 3000 + i, 100 + i);
        }

        OffloadOutcome outcome = _stage.Run(request => request with { Turns = turns, Order = ReadBackOrder.Alternating });

        Assert.True(outcome.Verdict().MayFormat, string.Join("; ", outcome.Verdict().Reasons));
        Assert.All(outcome.Clips, clip => Assert.Equal(3, clip.Proofs));

        // And again from the files alone: adopting asks a lane while others hold the turn.
        _stage.Drives.ForEach(drive => File.Delete(Path.Combine(drive, ".kitmesh/copies")));
        OffloadOutcome again = _stage.Run(request => request with { Turns = turns, Order = ReadBackOrder.Alternating });
        Assert.All(again.Clips, clip => Assert.Equal(3, clip.Proofs));
        Assert.All(_stage.Drives, drive => Assert.Equal(61, OffloadStage.FilesOf(drive).Count));
    }
}
