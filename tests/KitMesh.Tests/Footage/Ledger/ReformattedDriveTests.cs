using KitMesh.Domain.Results;
using KitMesh.Footage.Ledger;
using KitMesh.TestKit.Footage;
using static KitMesh.TestKit.Footage.FootageHistory;

namespace KitMesh.Tests.Footage.Ledger;

/// <summary>A drive that was formatted anew keeps its label and shows another identity: nothing that was on it is.</summary>
public sealed class ReformattedDriveTests
{
    private readonly FootageHistory _history = new FootageHistory().DeclareRidgeKit(copies: 2, drives: 2, cases: 2);

    private LedgerView Now => FootageLedger.Of(_history.Reports).Now(_history.Clock).View(LedgerQuery.All);

    public ReformattedDriveTests() => _history
        .State("drive A", "1111").State("drive B", "2222")
        .See("card 1", "v1", 1).Find("card 1", "v1", 1).Verified(1, "drive A").Verified(1, "drive B");

    private CopyRow OnDriveA => Now.Clips.Single().Copies.Single(copy => copy.Drive == Id("drive A"));

    [Fact]
    public void Drive_Reformatted_IsKeptShownAndNoProof()
    {
        Assert.Equal(CardState.MayBeFormatted, Now.Cards.Single(card => card.Card == Id("card 1")).State);

        _history.State("drive A", "3333");

        Assert.Equal(CopyStanding.DriveInDoubt, OnDriveA.Standing);
        Assert.Equal(CardState.OnHold, Now.Cards.Single(card => card.Card == Id("card 1")).State);
        Assert.Contains(Now.Oddities, oddity => oddity.Subject == Id("drive A"));
    }

    [Fact]
    public void Drive_ReformattedAndFilledAgain_IsProofAgain()
    {
        _history.State("drive A", "3333").Verified(1, "drive A");

        Assert.Equal(CopyStanding.Proven, OnDriveA.Standing);
        Assert.Equal(CardState.MayBeFormatted, Now.Cards.Single(card => card.Card == Id("card 1")).State);
    }

    [Fact]
    public void Drive_SeenByAReaderThatTellsNoIdentity_StaysTheSameDrive()
    {
        _history.State("drive A", null);

        Assert.Equal(CopyStanding.Proven, OnDriveA.Standing);
    }
}
