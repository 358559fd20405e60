using KitMesh.Domain.Reports;
using KitMesh.Offload.Drives;
using KitMesh.Offload.Recheck;
using KitMesh.TestKit.Offload;
using NodaTime;

namespace KitMesh.Tests.Offload.Faults;

/// <summary>Proof after the drive was detached and attached again, on loop devices.</summary>
public sealed class PowerCycleTests : IDisposable
{
    private readonly OffloadStage _stage = new();
    private readonly LoopDrive _drive;

    public PowerCycleTests()
    {
        LoopDrive? drive = LoopDrive.Make("ext4", 64, out string why);
        if (drive is null)
        {
            _stage.Dispose();
            Assert.Skip($"no ext4 on a loop device here: {why}");
        }

        _drive = drive!;
        _stage.Put("a.mov", 3_000_000, 1);
        _stage.Drives[0] = _drive.Folder;
        _stage.Run();
    }

    public void Dispose()
    {
        _drive.Dispose();
        _stage.Dispose();
    }

    [Theory]
    [InlineData(PowerWord.WasUnpowered)]
    [InlineData(PowerWord.UnpluggingCutsPower)]
    public void Recheck_AfterUnplugging_ProvesPowerCycledAndKeepsThatLevel(PowerWord word)
    {
        Replug();

        RecheckedCopy copy = Assert.Single(Ran(word).Copies);
        Assert.Equal(ReadBackLevel.PowerCycled, copy.Level);

        // What was proven so stays proven so: it was written before the power was cut.
        Assert.Equal(ReadBackLevel.PowerCycled, Assert.Single(Ran(word).Copies).Level);
        Assert.Equal(ReadBackLevel.Direct, Assert.Single(Ran(PowerWord.None).Copies).Level);
    }

    [Fact]
    public void Recheck_OfADriveThatStayedAttached_RefusesTheWordAndChangesNothing()
    {
        var refused = Assert.IsType<RecheckResult.Refused>(Recheck(PowerWord.WasUnpowered));

        Assert.Contains("unplug it", refused.Why, StringComparison.Ordinal);
        Assert.Equal(ReadBackLevel.Direct, Assert.Single(Ran(PowerWord.UnpluggingCutsPower).Copies).Level);
    }

    [Fact]
    public void Recheck_OfACopyWrittenAfterThePlugging_IsNotPowerCycled()
    {
        Replug();
        _stage.Put("b.mov", 2_000_000, 2);
        _stage.Run();

        RecheckOutcome outcome = Ran(PowerWord.WasUnpowered);

        Assert.Equal(ReadBackLevel.PowerCycled, outcome.Copies.Single(copy => copy.Path.EndsWith("a.mov", StringComparison.Ordinal)).Level);
        Assert.Equal(ReadBackLevel.Direct, outcome.Copies.Single(copy => copy.Path.EndsWith("b.mov", StringComparison.Ordinal)).Level);
        Assert.Equal(1, outcome.Levels[ReadBackLevel.PowerCycled]);
    }

    private void Replug()
    {
        if (!_drive.Replug())
        {
            Assert.Skip("this machine cannot detach and attach a loop device");
        }
    }

    private RecheckOutcome Ran(PowerWord word) => Assert.IsType<RecheckResult.Ran>(Recheck(word)).Outcome;

    private RecheckResult Recheck(PowerWord word) => new RecheckEngine(SystemClock.Instance, TimeProvider.System, () => 1).Run(
        new RecheckRequest(_drive.Folder) { Power = word }, static _ => { }, static (_, _) => { }, CancellationToken.None);
}
