using KitMesh.Domain.Reports;
using KitMesh.Offload.Recheck;
using KitMesh.TestKit.Offload;
using NodaTime;
using NodaTime.Testing;

namespace KitMesh.Tests.Offload;

public sealed class RecheckEngineTests : IDisposable
{
    private readonly OffloadStage _stage = new();
    private readonly FakeClock _clock = new(SystemClock.Instance.GetCurrentInstant() + Duration.FromDays(3));

    public void Dispose() => _stage.Dispose();

    [Fact]
    public void Run_GoodDrive_ProvesEveryCopyAgainAndSaysThatItIsARecheck()
    {
        Fill();

        List<ReportBody> told = [];
        RecheckOutcome outcome = Recheck(new RecheckRequest(_stage.Drives[0]), told);

        Assert.Equal((3, 0, 0), (outcome.Good, outcome.Bad, outcome.Unlisted));
        Assert.Equal(3, told.OfType<CopyVerified>().Count(copy => copy.Recheck));
    }

    [Fact]
    public void Run_RottenMissingAndUnlisted_AreToldApart()
    {
        Fill();
        string[] files = [.. Directory.GetFiles(_stage.Drives[0], "*.mov", SearchOption.AllDirectories).Order(StringComparer.Ordinal)];
        File.WriteAllBytes(files[0], OffloadStage.Noise(1000, 77));
        File.Delete(files[1]);
        File.WriteAllBytes(Path.Combine(_stage.Drives[0], "stranger.mov"), [1]);

        List<ReportBody> told = [];
        RecheckOutcome outcome = Recheck(new RecheckRequest(_stage.Drives[0]), told);

        Assert.Equal((1, 2, 1), (outcome.Good, outcome.Bad, outcome.Unlisted));
        Assert.Equal([CopyFailure.HashDiffers, CopyFailure.Missing], told.OfType<CopyFailed>().Select(failed => failed.Failure).Order());

        // Struck off: a second recheck does not tell it again.
        Assert.Equal(0, Recheck(new RecheckRequest(_stage.Drives[0]), []).Bad);
    }

    [Fact]
    public void Run_WithLimits_TakesTheOldestProofFirstAndNoMoreThanItMay()
    {
        Fill();

        RecheckOutcome limited = Recheck(new RecheckRequest(_stage.Drives[0]) { MostBytes = 3000 }, []);
        Assert.Equal(2, limited.Copies.Count);
        Assert.Equal(3000, Assert.Single(limited.Left).Value);
        _clock.AdvanceDays(1);
        RecheckOutcome rest = Recheck(new RecheckRequest(_stage.Drives[0]) { OlderThan = Duration.FromDays(2) }, []);
        Assert.EndsWith("c.mov", rest.Copies.Single().Path, StringComparison.Ordinal);
    }

    [Fact]
    public void Run_RepairFromADriveWhoseCopyIsRottenToo_MendsNothing()
    {
        Fill();
        foreach (string drive in _stage.Drives.Take(2))
        {
            File.WriteAllBytes(Directory.GetFiles(drive, "a.mov", SearchOption.AllDirectories).Single(), OffloadStage.Noise(1000, 77));
        }

        RecheckOutcome bad = Recheck(new RecheckRequest(_stage.Drives[0]) { RepairFrom = [_stage.Drives[1]] }, []);
        Assert.Equal(1, bad.Bad);
        Assert.DoesNotContain(Directory.GetFiles(_stage.Drives[0], "a.mov", SearchOption.AllDirectories), file => !file.Contains("/bad/", StringComparison.Ordinal));
    }

    [Fact]
    public void Run_FolderThatIsNoDrive_IsRefused() => Assert.IsType<RecheckResult.Refused>(
        new RecheckEngine(_clock, TimeProvider.System, () => 1).Run(new RecheckRequest(_stage.Card), static _ => { }, static (_, _) => { }, CancellationToken.None));

    private void Fill()
    {
        _stage.Put("a.mov", 1000, 1);
        _stage.Put("b.mov", 2000, 2);
        _stage.Put("c.mov", 3000, 3);
        _stage.Run();
    }

    private RecheckOutcome Recheck(RecheckRequest request, List<ReportBody> told) => Assert.IsType<RecheckResult.Ran>(
        new RecheckEngine(_clock, TimeProvider.System, () => 1).Run(request, told.Add, static (_, _) => { }, CancellationToken.None)).Outcome;
}
