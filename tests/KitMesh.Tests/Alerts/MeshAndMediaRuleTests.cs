using KitMesh.Alerts;
using KitMesh.Alerts.Inputs;
using KitMesh.Alerts.Rules.Media;
using KitMesh.Alerts.Rules.Mesh;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Domain.Time;
using KitMesh.TestKit.Alerts;
using NodaTime;

namespace KitMesh.Tests.Alerts;

public sealed class MeshAndMediaRuleTests
{
    private static readonly NodeId Power = NodeId.Parse("ridge-power");

    [Fact]
    public void AgentSilent_FireSilentClear()
    {
        var desk = new AlertDesk(new AgentSilent());
        AlertChange? Heard(Duration? ago) => desk.Show("ridge-power", i => i with { Agents = [Agent(desk.Now, heardAgo: ago)] });

        Assert.Null(Heard(Duration.FromHours(1)));
        Assert.Equal(AlertPhase.Raised, Heard(Duration.FromHours(3))!.Phase);
        Assert.Equal(AlertPhase.Stands, Heard(Duration.FromHours(4))!.Phase);
        Assert.Equal(AlertPhase.Cleared, Heard(Duration.FromMinutes(1))!.Phase);
        Assert.Contains("never heard", Heard(null)!.Alert.What, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(600)]
    [InlineData(-600)]
    [InlineData(-1_700_000_000)]
    public void ClockWrong_EitherWay_FiresAndClearsUnderTwoMinutes(long seconds)
    {
        var desk = new AlertDesk(new ClockWrong());
        AlertChange? Off(long s) => desk.Show("ridge-power", i => i with { Agents = [Agent(desk.Now, ahead: Duration.FromSeconds(s))] });

        Assert.Null(Off(240));
        Assert.Equal(AlertPhase.Raised, Off(seconds)!.Phase);
        Assert.Equal(AlertPhase.Stands, Off(240)!.Phase);
        Assert.Equal(AlertPhase.Cleared, Off(60)!.Phase);
    }

    [Fact]
    public void ClockWrong_WithinTheDoubtOfTheComparison_IsSilent()
    {
        var desk = new AlertDesk(new ClockWrong());
        AlertChange? Off(long seconds, long doubt) => desk.Show("ridge-power", i => i with { Agents = [Agent(desk.Now, ahead: Duration.FromSeconds(seconds), doubt: Duration.FromSeconds(doubt))] });

        Assert.Null(Off(600, doubt: 400));
        Assert.Null(Off(600, doubt: 100_000));
        Assert.Equal(AlertPhase.Raised, Off(600, doubt: 200)!.Phase);
        Assert.Equal(AlertPhase.Cleared, Off(600, doubt: 500)!.Phase);
    }

    [Fact]
    public void ClockWrong_NobodyCompared_IsSilent()
    {
        var desk = new AlertDesk(new ClockWrong());

        Assert.Null(desk.Show("ridge-power", i => i with { Agents = [Agent(desk.Now)] }));
    }

    [Fact]
    public void ReaderFaulty_FireSilentClear()
    {
        var desk = new AlertDesk(new ReaderFaulty());
        var fault = new FaultyReader(Power, "controller", KitId.Parse("ridge bank"), "The device did not answer in time.", desk.Now);

        Assert.Null(desk.Show("ridge bank", i => i));
        Assert.Contains("did not answer", desk.Show("ridge bank", i => i with { FaultyReaders = [fault] })!.Alert.What, StringComparison.Ordinal);
        Assert.Equal(AlertPhase.Cleared, desk.Show("ridge bank", i => i)!.Phase);
    }

    [Fact]
    public void OriginForked_FiresAndStays()
    {
        var desk = new AlertDesk(new OriginForked());

        Assert.Null(desk.Show("ridge-power", i => i));
        Assert.Equal(AlertPhase.Raised, desk.Show("ridge-power", i => i with { Forks = [new ForkedOrigin(new OriginId(Power, 7), 40, 3)] })!.Phase);
        Assert.Null(desk.Show("ridge-power", i => i));
        Assert.Single(desk.Standing);
    }

    [Fact]
    public void DriveNearlyFull_ByShare_FireSilentClear()
    {
        var desk = new AlertDesk(new DriveNearlyFull());
        AlertChange? Free(long gigabytes) => desk.Show("drive A", i => i with { Drives = [Drive(gigabytes, null, desk.Now)] });

        Assert.Null(Free(110));
        Assert.Equal(AlertPhase.Raised, Free(90)!.Phase);
        Assert.Equal(AlertPhase.Stands, Free(110)!.Phase);
        Assert.Equal(AlertPhase.Cleared, Free(130)!.Phase);
    }

    [Fact]
    public void DriveNearlyFull_ByDaysOfFootage_FiresWithRoomLeft()
    {
        var desk = new AlertDesk(new DriveNearlyFull());

        Assert.Contains("1.5 days", desk.Show("drive A", i => i with { Drives = [Drive(300, 200, desk.Now)] })!.Alert.What, StringComparison.Ordinal);
    }

    [Fact]
    public void RoomRunsOut_FireSilentClear()
    {
        var desk = new AlertDesk(new RoomRunsOut());
        LocalDate today = desk.Now.InUtc().Date;
        AlertChange? Full(int days) => desk.Show("all drives", i => i with { Footage = Footage(desk.Now, today.PlusDays(days)) });

        Assert.Null(desk.Show("all drives", i => i));
        Assert.Null(Full(4));
        AlertChange raised = Full(3)!;
        Assert.Equal(AlertPhase.Raised, raised.Phase);
        Assert.Contains("2027-02-14", raised.Alert.What, StringComparison.Ordinal);
        Assert.Contains("two copies instead of three", raised.Alert.Do, StringComparison.Ordinal);
        Assert.Equal(AlertPhase.Stands, Full(4)!.Phase);
        Assert.Equal(AlertPhase.Cleared, Full(5)!.Phase);
    }

    [Fact]
    public void RoomRunsOut_OnTheCrewsDay_NotOnUtcs()
    {
        var desk = new AlertDesk(new RoomRunsOut()) { Now = Instant.FromUtc(2027, 2, 11, 20, 0) };
        var full = new LocalDate(2027, 2, 15);

        Assert.Null(desk.Show("all drives", i => i with { Footage = Footage(desk.Now, full) }));
        Assert.NotNull(desk.Show("all drives", i => i with { Footage = Footage(desk.Now, full), Zone = Offset.FromHours(6) }));
    }

    [Fact]
    public void CopyNotGood_FireSilentClear()
    {
        var desk = new AlertDesk(new CopyNotGood());
        var failed = new FailedCopy(new CopyFailed(new ClipHash(1), KitId.Parse("drive A"), "day 3/clip.mov", CopyFailure.HashDiffers, "2 bytes differ", null), desk.Now, 0);

        Assert.Null(desk.Show("drive A", i => i));
        AlertChange raised = desk.Show("drive A", i => i with { FailedCopies = [failed] })!;
        Assert.Equal(AlertPhase.Raised, raised.Phase);
        Assert.Contains("the card is all there is", raised.Alert.What, StringComparison.Ordinal);
        Assert.Contains("Do not format", raised.Alert.Do, StringComparison.Ordinal);
        Assert.Equal(AlertPhase.Cleared, desk.Show("drive A", i => i)!.Phase);
    }

    [Fact]
    public void CardHeldPastEvening_FireSilentClear()
    {
        var desk = new AlertDesk(new CardHeldPastEvening());
        Instant due = desk.Now + Duration.FromHours(1);
        var held = new HeldCard(KitId.Parse("card 7"), desk.Now, due, "one more copy in another case", Formatted: false);

        Assert.Null(desk.Show("card 7", i => i with { HeldCards = [held] }));
        desk.Now = due + Duration.FromMinutes(1);
        Assert.Equal(AlertPhase.Raised, desk.Show("card 7", i => i with { HeldCards = [held] })!.Phase);
        Assert.Equal(AlertPhase.Cleared, desk.Show("card 7", i => i)!.Phase);
    }

    [Fact]
    public void CardFormattedOnHold_FireSilentClear()
    {
        var desk = new AlertDesk(new CardFormattedOnHold());
        var held = new HeldCard(KitId.Parse("card 7"), desk.Now, desk.Now, "One copy is left, on drive A.", Formatted: false);

        Assert.Null(desk.Show("card 7", i => i with { HeldCards = [held] }));
        Assert.Contains("drive A", desk.Show("card 7", i => i with { HeldCards = [held with { Formatted = true }] })!.Alert.What, StringComparison.Ordinal);
        Assert.Equal(AlertPhase.Cleared, desk.Show("card 7", i => i)!.Phase);
    }

    [Fact]
    public void ClipOdd_FireSilentClear()
    {
        var desk = new AlertDesk(new ClipOdd());

        Assert.Null(desk.Show("card 7", i => i));
        Assert.Equal(AlertPhase.Raised, desk.Show("card 7", i => i with { Clips = [new ClipTrouble(KitId.Parse("card 7"), "chapter 3 of clip 12 is missing", desk.Now)] })!.Phase);
        Assert.Equal(AlertPhase.Cleared, desk.Show("card 7", i => i)!.Phase);
    }

    [Fact]
    public void Catalogue_EveryRule_HasANameOfItsOwnAndASummary()
    {
        Assert.Equal(AlertCatalogue.All.Count, AlertCatalogue.All.Select(r => r.Name).Distinct().Count());
        Assert.All(AlertCatalogue.All, r => Assert.Matches("^[a-z]+(-[a-z]+)*$", r.Name));
        Assert.All(AlertCatalogue.All, r => Assert.EndsWith(".", r.Summary, StringComparison.Ordinal));
        Assert.All(AlertCatalogue.Guard, r => Assert.Contains(r, AlertCatalogue.All));
    }

    [Fact]
    public void Since_WhatTheReportsTell_HoldsAlsoForABookThatStartsAnew()
    {
        var desk = new AlertDesk(new AgentSilent());

        Alert alert = desk.Show("ridge-power", i => i with { Agents = [Agent(desk.Now, heardAgo: Duration.FromHours(9))] })!.Alert;

        Assert.Equal(desk.Now - Duration.FromHours(7), alert.Since);
    }

    [Fact]
    public void What_TellsHoursByTheCrewsClock()
    {
        var desk = new AlertDesk(new CardHeldPastEvening()) { Now = Instant.FromUtc(2027, 2, 11, 16, 0) };
        var held = new HeldCard(KitId.Parse("card 7"), Instant.FromUtc(2027, 2, 11, 11, 0), Instant.FromUtc(2027, 2, 11, 15, 0), "one more copy", Formatted: false);

        Alert alert = desk.Show("card 7", i => i with { HeldCards = [held], Zone = Offset.FromHours(6) })!.Alert;

        Assert.Contains("11 Feb 21:00 (+06:00)", alert.What, StringComparison.Ordinal);
        Assert.Equal(held.Due, alert.Since);
    }

    [Fact]
    public void From_KeptAlerts_StandOnAndClearLate()
    {
        Instant began = Instant.FromUtc(2027, 2, 10, 6, 0);
        AlertBook kept = AlertBook.From([new Alert("drive-nearly-full", KitId.Parse("drive A"), AlertWeight.Act, began, "as it was", "as it was")]);
        var inputs = new AlertInputs(began + Duration.FromDays(1));

        AlertBook after = kept.Step([new DriveNearlyFull()], inputs with { Drives = [Drive(110, null, began)] }, out IReadOnlyList<AlertChange> changes);

        Assert.Equal(AlertPhase.Stands, Assert.Single(changes).Phase);
        Assert.Equal(began, Assert.Single(after.Standing).Since);
        Assert.Empty(kept.Step([new DriveNearlyFull()], inputs with { Drives = [Drive(130, null, began)] }, out _).Standing);
    }

    [Fact]
    public void Step_SameInputsInTheSameOrder_GiveTheSameBook()
    {
        var inputs = new AlertInputs(Instant.FromUtc(2027, 2, 11, 6, 0))
        {
            Packs = [PackScene.Pack().Seen(PackScene.Reading(volts: 15.2, amperes: 30, probes: -3), Instant.FromUtc(2027, 2, 11, 6, 0))],
            Agents = [Agent(Instant.FromUtc(2027, 2, 11, 6, 0), heardAgo: Duration.FromHours(9))],
        };

        AlertBook a = AlertBook.Empty.Step(AlertCatalogue.All, inputs, out IReadOnlyList<AlertChange> first);
        AlertBook b = AlertBook.Empty.Step(AlertCatalogue.All, inputs, out IReadOnlyList<AlertChange> second);

        Assert.Equal(first, second);
        Assert.Equal(a.Standing, b.Standing);
        Assert.Equal(AlertWeight.Danger, a.Standing[0].Weight);
    }

    private static AgentCondition Agent(Instant now, Duration? heardAgo = null, Duration? ahead = null, Duration doubt = default) =>
        new(Power, heardAgo is { } ago ? now - ago : null, now - Duration.FromDays(2), Duration.FromHours(2), ahead, ClockTrust.HardwareClock, doubt);

    private static FootageOutlook Footage(Instant now, LocalDate full)
    {
        var none = new LossRisk(now, now, new ChanceRange(new(0), new(0), new(0), ""), true, 0, [], [], []);
        return new FootageOutlook(
            now, full.PlusDays(9), 3, 2, 40, [], [], new(0.2), [new CopyShortfall(3, full, full, new(0.8), 12)], [new GiveWay("two copies instead of three", null, 40)], none, none, []);
    }

    private static DriveCondition Drive(double freeGigabytes, double? perDay, Instant at) => new(
        KitId.Parse("drive A"), ByteCount.FromGigabytes(1000), ByteCount.FromGigabytes(freeGigabytes), at, perDay is { } p ? ByteCount.FromGigabytes(p) : null);
}
