using KitMesh.Domain.Reports;
using KitMesh.Offload.Engine;
using KitMesh.Offload.Recheck;
using KitMesh.TestKit.Offload;
using NodaTime;

namespace KitMesh.Tests.Offload.Faults;

/// <summary>Drives that take a call and never answer: a frozen file system for writes, the kernel's own throttle at one byte a second for reads.</summary>
public sealed class HangingDriveTests : IDisposable
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(2);
    private static readonly TimeSpan Bound = TimeSpan.FromSeconds(120);

    private readonly OffloadStage _stage = new();
    private LoopDrive? _loop;
    private Action? _release;

    public void Dispose()
    {
        _release?.Invoke();
        _loop?.Dispose();
        _stage.Dispose();
    }

    [Theory]
    [InlineData(ReadBackOrder.Overlapping)]
    [InlineData(ReadBackOrder.Alternating)]
    public void Run_DriveThatNeverAnswersAWrite_IsNamedAndTheOthersGetTheirVerdict(ReadBackOrder order)
    {
        LoopDrive drive = Make();
        HangAt<ClipFound>(() => Freeze(drive));

        OffloadOutcome outcome = _stage.Run(request => request with { Patience = Patience, Order = order });

        AssertOnlyTheSecondHangs(outcome);
        AssertMendedBy(drive);
    }

    [Fact]
    public void Run_DriveThatNeverAnswersAReadBack_IsNamedAndTheOthersGetTheirVerdict()
    {
        LoopDrive drive = Make();
        StandstillOfReads reads = StandstillOfReads.Of(drive);
        HangAt<CopyMade>(() => _release = reads.Begin());

        OffloadOutcome outcome = _stage.Run(request => request with { Patience = Patience });

        AssertOnlyTheSecondHangs(outcome);
        AssertMendedBy(drive);
    }

    [Fact]
    public void Run_DriveThatHangsBeforeTheFirstFile_IsGivenUp()
    {
        LoopDrive drive = Make();
        HangAt<CardSeen>(() => Freeze(drive));

        OffloadOutcome outcome = _stage.Run(request => request with { Patience = Patience });

        AssertOnlyTheSecondHangs(outcome);
    }

    [Fact]
    public void Try_DriveThatHangsWhenOpened_IsRefusedInWords()
    {
        LoopDrive drive = Make();
        Freeze(drive);

        OffloadResult.Refused refused = Assert.IsType<OffloadResult.Refused>(_stage.Try(request => request with { Patience = Patience }));

        Assert.Contains("has not answered for 2 s", Assert.Single(refused.Problems), StringComparison.Ordinal);
    }

    [Fact]
    public void Recheck_DriveThatStopsAnswering_KeepsWhatWasReadAndSaysWhereItHung()
    {
        LoopDrive drive = Make();
        Assert.True(_stage.Run().Verdict().MayFormat);
        StandstillOfReads reads = StandstillOfReads.Of(drive);
        List<ReportBody> told = [];
        void Tell(ReportBody body)
        {
            told.Add(body);
            if (told.OfType<CopyVerified>().Count() == 2)
            {
                _release ??= reads.Begin();
            }
        }

        var engine = new RecheckEngine(SystemClock.Instance, TimeProvider.System, () => 1);
        RecheckOutcome outcome = Assert.IsType<RecheckResult.Ran>(engine.Run(new RecheckRequest(drive.Folder) { Patience = Patience }, Tell, static (_, _) => { }, CancellationToken.None)).Outcome;

        Assert.Contains("has not answered for 2 s", outcome.Silence, StringComparison.Ordinal);
        Assert.Equal((2, 1, 61), (outcome.Good, outcome.Bad, outcome.Left.Count));
        Assert.Equal(CopyFailure.DriveGone, outcome.Copies[^1].Failure);
        Assert.Equal(CopyFailure.DriveGone, Assert.Single(told.OfType<CopyFailed>()).Failure);

        // Nothing was struck off: once it answers, all its copies are good.
        _release!();
        RecheckResult again = new RecheckResult.Refused("");
        Assert.True(SpinWait.SpinUntil(() => (again = engine.Run(new RecheckRequest(drive.Folder), static _ => { }, static (_, _) => { }, CancellationToken.None)) is RecheckResult.Ran, Bound));
        Assert.Equal((64, 0), (((RecheckResult.Ran)again).Outcome.Good, ((RecheckResult.Ran)again).Outcome.Bad));
    }

    [Fact]
    public void Recheck_DriveToMendFromThatStopsAnswering_IsNamedAndNotTheOneThatIsMended()
    {
        LoopDrive source = Make();
        Assert.True(_stage.Run().Verdict().MayFormat);
        string mended = _stage.Drives[0];
        string bad = OffloadStage.FilesOf(mended).Keys.First(file => file.EndsWith(".mov", StringComparison.Ordinal));
        using (FileStream file = File.OpenWrite(Path.Combine(mended, bad)))
        {
            file.WriteByte(99);
        }

        StandstillOfReads reads = StandstillOfReads.Of(source);
        List<CopyFailed> told = [];
        void Tell(ReportBody body)
        {
            if (body is CopyFailed failed)
            {
                told.Add(failed);
                _release ??= reads.Begin();
            }
        }

        var engine = new RecheckEngine(SystemClock.Instance, TimeProvider.System, () => 1);
        var request = new RecheckRequest(mended) { Patience = Patience, RepairFrom = [source.Folder] };
        RecheckOutcome outcome = Assert.IsType<RecheckResult.Ran>(engine.Run(request, Tell, static (_, _) => { }, CancellationToken.None)).Outcome;

        Assert.Contains($"could not be mended from {source.Folder}: that drive has not answered for 2 s", outcome.Silence, StringComparison.Ordinal);
        Assert.Equal(CopyFailure.HashDiffers, outcome.Copies.Single(copy => copy.Failure is not null).Failure);
        Assert.Equal(CopyFailure.HashDiffers, Assert.Single(told).Failure);
    }

    private void AssertOnlyTheSecondHangs(OffloadOutcome outcome)
    {
        Assert.False(outcome.Verdict().MayFormat);
        Assert.All(outcome.Clips, clip => Assert.Equal((true, true), (clip.Copies[0].IsProof, clip.Copies[2].IsProof)));
        List<CopyOutcome> hung = [.. outcome.Clips.Select(clip => clip.Copies[1]).Where(copy => !copy.IsProof)];
        Assert.NotEmpty(hung);
        Assert.All(hung, copy =>
        {
            Assert.Equal((CopyState.Failed, CopyFailure.DriveGone), (copy.State, copy.Failure));
            Assert.Contains("has not answered for 2 s", copy.Detail, StringComparison.Ordinal);
        });

        // Told once for each clip, and nothing of that drive after it.
        Assert.Equal(hung.Count, _stage.Reports.OfType<CopyFailed>().Count(failed => failed.Drive == hung[0].Drive));
    }

    // Once the drive answers again, the next run makes what is missing and nothing twice.
    private void AssertMendedBy(LoopDrive drive)
    {
        _release!();
        _release = null;
        _stage.OnReport = null;
        OffloadResult result = new OffloadResult.Refused([]);
        bool taken = SpinWait.SpinUntil(() => (result = _stage.Try()) is OffloadResult.Ran, Bound);

        Assert.True(taken, "the drive's lock was never given back");
        OffloadOutcome again = ((OffloadResult.Ran)result).Outcome;
        Assert.True(again.Verdict().MayFormat, string.Join("; ", again.Verdict().Reasons));
        Assert.Equal(_stage.Reports.OfType<CardSeen>().Single().Files, OffloadStage.FilesOf(drive.Folder).Count);
    }

    private LoopDrive Make()
    {
        string why = "";
        if (!LoopDrive.Do("fsfreeze --version", out why) || LoopDrive.Make("ext4", 400, out why) is not { } drive)
        {
            Assert.Skip($"No ext4 on a loop device that can be frozen here: {why}.");
            throw new InvalidOperationException();
        }

        _loop = drive;
        _stage.Drives[1] = drive.Folder;
        for (int i = 0; i < 4; i++)
        {
            _stage.Put($"C{i}.mov", 20_000_000, i);
        }

        for (int i = 0; i < 60; i++)
        {
            _stage.Put($"S{i}.xml", 3000 + i, 100 + i);
        }

        return drive;
    }

    private void HangAt<TReport>(Action hang)
        where TReport : ReportBody
    {
        bool done = false;
        _stage.OnReport = report =>
        {
            bool another = report is CopyMade made && made.Drive != DriveNameOf(_loop!);
            if (!done && report is TReport && !another)
            {
                done = true;
                hang();
            }
        };
    }

    private static KitId DriveNameOf(LoopDrive drive) => KitId.Parse(Path.GetFileName(drive.Folder));

    private void Freeze(LoopDrive drive)
    {
        LoopDrive.Do($"fsfreeze --freeze {drive.Folder}", out _);
        _release = () => LoopDrive.Do($"fsfreeze --unfreeze {drive.Folder}", out _);
    }
}
