using KitMesh.Domain.Quantities;
using KitMesh.Offload.Drives;

namespace KitMesh.Tests.Offload;

/// <summary>Energy is power times time: the checks are arithmetic.</summary>
public sealed class MoveCostTests : IDisposable
{
    private readonly string _root = Directory.CreateTempSubdirectory("kitmesh-cost-").FullName;

    public void Dispose() => Directory.Delete(_root, recursive: true);

    [Fact]
    public void AboveIdle_OfASteadyDraw_IsPowerTimesTime()
    {
        var tally = new EnergyTally(new Watts(6));
        tally.Add(TimeSpan.Zero, new Watts(21));
        for (int i = 0; i < 60; i++)
        {
            tally.Add(TimeSpan.FromSeconds(1), new Watts(21));
        }

        // 15 W over a minute: 900 J, a quarter of a watt-hour.
        Assert.Equal(0.25, tally.AboveIdle.Value, 9);
        Assert.Equal(1, tally.Covered, 9);
    }

    [Fact]
    public void AboveIdle_OfADrawThatRises_IsTheAreaUnderIt()
    {
        var tally = new EnergyTally(new Watts(0));
        tally.Add(TimeSpan.Zero, new Watts(0));
        tally.Add(TimeSpan.FromSeconds(100), new Watts(36));

        Assert.Equal(1800, tally.AboveIdle.Joules, 6);
    }

    [Fact]
    public void Add_AMeterThatFellSilent_CostsNoLongerThanItIsBelieved()
    {
        var tally = new EnergyTally(new Watts(0));
        tally.Add(TimeSpan.Zero, new Watts(10));
        tally.Add(TimeSpan.FromHours(1), null);
        tally.Add(TimeSpan.FromHours(1), null);

        Assert.Equal(10 * EnergyTally.LongestGap.TotalSeconds, tally.AboveIdle.Joules, 6);
        Assert.InRange(tally.Covered, 0, 0.05);
    }

    [Fact]
    public void Of_WhatWasAdded_IsJoulesOverBytes()
    {
        Mark();
        Assert.Null(MoveCost.Of(_root));
        Assert.True(MoveCost.TryAdd(_root, new WattHours(1), ByteCount.FromGigabytes(30)));
        Assert.True(MoveCost.TryAdd(_root, new WattHours(2), ByteCount.FromGigabytes(60)));

        Assert.Equal(120, MoveCost.Of(_root)!.Value.Value, 6);
        Assert.Equal(120, DriveGlance.At(_root)!.MoveCost!.Value.Value, 6);
    }

    [Fact]
    public void Of_TooFewBytesOrATornFile_IsNothing()
    {
        Mark();
        MoveCost.TryAdd(_root, new WattHours(1), new ByteCount(1000));
        Assert.Null(MoveCost.Of(_root));

        File.WriteAllText(Path.Combine(_root, MoveCost.FilePath), "{\"version\":1,\"joules\":");
        Assert.Null(MoveCost.Of(_root));
        Assert.True(MoveCost.TryAdd(_root, new WattHours(1), ByteCount.FromGigabytes(1)));
        Assert.Equal(3600, MoveCost.Of(_root)!.Value.Value, 6);
    }

    [Fact]
    public void TryAdd_WhereNoDriveIs_WritesNothing()
    {
        Assert.False(MoveCost.TryAdd(_root, new WattHours(1), ByteCount.FromGigabytes(1)));
        Assert.Empty(Directory.GetFileSystemEntries(_root));
    }

    [Fact]
    public void JoulesPerGigabyte_ForAndBuys_AreEachOthersInverse()
    {
        var cost = new JoulesPerGigabyte(72);

        // 50 GB at 72 J are 3,600 J: one watt-hour.
        Assert.Equal(1, cost.For(ByteCount.FromGigabytes(50)).Value, 9);
        Assert.Equal(ByteCount.FromGigabytes(50), cost.Buys(new WattHours(1)));
    }

    private void Mark()
    {
        Directory.CreateDirectory(Path.Combine(_root, DriveIdentity.Folder));
        File.WriteAllText(Path.Combine(_root, DriveIdentity.FilePath), """{"version":1,"drive":"red","identity":"00000000000000aa"}""");
    }
}
