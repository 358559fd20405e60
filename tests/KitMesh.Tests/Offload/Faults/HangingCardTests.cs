using KitMesh.Domain.Reports;
using KitMesh.Offload.Engine;
using KitMesh.TestKit.Offload;

namespace KitMesh.Tests.Offload.Faults;

/// <summary>Cards that take a read and never answer.</summary>
public sealed class HangingCardTests : IDisposable
{
    private const int Large = 6;
    private const int Small = 40;
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(2);

    private readonly OffloadStage _stage = new();
    private LoopDrive? _loop;
    private Action? _release;

    public void Dispose()
    {
        _release?.Invoke();
        _loop?.Dispose();
        _stage.Dispose();
    }

    [Fact]
    public void Run_CardThatStopsAnswering_KeepsWhatWasReadNamesTheRestAndTheNextRunFinishes()
    {
        StandstillOfReads reads = Make();
        bool begun = false;
        _stage.OnReport = report =>
        {
            if (report is ClipFound && !begun)
            {
                begun = true;
                _release = reads.Begin();
            }
        };

        OffloadOutcome outcome = _stage.Run(request => request with { Patience = Patience });

        Assert.False(outcome.Verdict().MayFormat);
        Assert.False(outcome.CardSteady);
        List<ClipOutcome> missing = [.. outcome.Clips.Where(clip => clip.CardFailure is not null)];
        Assert.NotEmpty(missing);
        Assert.All(missing, clip => Assert.Equal(CopyFailure.CardUnreadable, clip.CardFailure));
        Assert.All(missing, clip => Assert.Contains("has not answered for 2 s", clip.CardDetail, StringComparison.Ordinal));
        Assert.All(outcome.Clips.Except(missing), clip => Assert.All(clip.Copies, copy => Assert.True(copy.IsProof)));
        Assert.NotEmpty(outcome.Clips.Except(missing));
        Assert.Contains(outcome.Remarks, remark => remark.Contains("run the offload again", StringComparison.Ordinal));
        Assert.All(_stage.Drives, drive => Assert.Empty(OffloadStage.PartialsOf(drive)));

        _release!();
        _release = null;
        _stage.OnReport = null;
        OffloadOutcome again = _stage.Run();

        Assert.True(again.Verdict().MayFormat, string.Join("; ", again.Verdict().Reasons));
        Assert.All(_stage.Drives, drive => Assert.Equal(Large + Small, OffloadStage.FilesOf(drive).Count));
    }

    [Fact]
    public void Run_CardThatHangsBeforeItsFirstFile_NamesEveryFile()
    {
        StandstillOfReads reads = Make();
        _stage.OnReport = report =>
        {
            if (report is CardSeen)
            {
                _release = reads.Begin();
            }
        };

        OffloadOutcome outcome = _stage.Run(request => request with { Patience = Patience });

        Assert.Equal(Large + Small, outcome.Clips.Count(clip => clip.CardFailure == CopyFailure.CardUnreadable));
        Assert.Equal(0, outcome.CopiesVerified);
    }

    [Fact]
    public void Try_CardThatHangsWhenItIsListed_IsRefusedInWords()
    {
        // It comes with a history of its own, which is read with the listing (names alone the kernel gives from memory).
        Make();
        _stage.Put("ascmhl/ascmhl_chain.xml", 50_000, 9);
        Assert.True(_loop!.Replug());
        _release = StandstillOfReads.Of(_loop).Begin();

        OffloadResult.Refused refused = Assert.IsType<OffloadResult.Refused>(_stage.Try(request => request with { Patience = Patience }));

        Assert.Contains("has not answered for 2 s", Assert.Single(refused.Problems), StringComparison.Ordinal);
    }

    private StandstillOfReads Make()
    {
        if (LoopDrive.Make("ext4", 400, out string why) is not { } card)
        {
            Assert.Skip($"No ext4 on a loop device here: {why}.");
            throw new InvalidOperationException();
        }

        _loop = card;
        _stage.Card = card.Folder;
        for (int i = 0; i < Large; i++)
        {
            _stage.Put($"C{i}.mov", 20_000_000, i);
        }

        for (int i = 0; i < Small; i++)
        {
            _stage.Put($"S{i:00}.xml", 3000 + i, 100 + i);
        }

        return StandstillOfReads.Of(card);
    }
}
