using KitMesh.Alerts;
using KitMesh.Alerts.Rules.Media;
using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.TestKit.Alerts;
using NodaTime;

namespace KitMesh.Tests.Alerts;

/// <summary>Fire, silent and clear of every rule that reads the footage ledger.</summary>
public sealed class LedgerRuleTests
{
    private static readonly KitId Red = KitId.Parse("drive red");
    private static readonly KitId RedCase = KitId.Parse("red case");
    private static readonly KitId BlueCase = KitId.Parse("blue case");

    [Fact]
    public void RecheckOverdue_FireSilentClear() =>
        FireSilentClear(new RecheckOverdue(), desk => Drive(desk), desk => Drive(desk) with { Overdue = 3, OldestProof = desk.Now }, "3 copies");

    [Theory]
    [InlineData(DriveHealth.Warning)]
    [InlineData(DriveHealth.Failing)]
    public void DriveFailing_FireSilentClear(DriveHealth health) =>
        FireSilentClear(new DriveFailing(), desk => Drive(desk) with { Health = DriveHealth.Unknown }, desk => Drive(desk) with { Health = health }, "It says");

    [Fact]
    public void DriveHot_FireSilentClear()
    {
        FireSilentClear(new DriveHot(), desk => Drive(desk) with { Temperature = new Celsius(54) }, desk => Drive(desk) with { Temperature = new Celsius(60) }, "60");

        // Between the two limits it stands only when it stood.
        var desk = new AlertDesk(new DriveHot());
        Assert.Null(Show(desk, Drive(desk) with { Temperature = new Celsius(57) }));
    }

    [Fact]
    public void DriveUnseen_FireSilentClear() => FireSilentClear(
        new DriveUnseen(),
        desk => Drive(desk),
        desk => Drive(desk) with { LastSeen = desk.Now - Duration.FromDays(8) },
        "10 proven copies");

    [Fact]
    public void DriveUnseen_WithoutCopies_IsSilent()
    {
        var desk = new AlertDesk(new DriveUnseen());

        Assert.Null(Show(desk, Drive(desk) with { Copies = 0, LastSeen = desk.Now - Duration.FromDays(30) }));
    }

    [Fact]
    public void DriveInDoubt_FireSilentClear() =>
        FireSilentClear(new DriveInDoubt(), desk => Drive(desk), desk => Drive(desk) with { Doubt = "drive red and drive blue carry one identity" }, "one identity");

    [Fact]
    public void DayInOneCase_FireSilentClear()
    {
        var desk = new AlertDesk(new DayInOneCase());
        AlertChange? Cases(params CaseCell[] cells) => desk.Show("red case", i => i with { Ledger = Ledger(desk, [Drive(desk), Drive(desk) with { Case = BlueCase }], cells.ToValueList()) });

        Assert.Null(Cases(new CaseCell(RedCase, 4, 4), new CaseCell(BlueCase, 4, 4)));
        Assert.Equal(AlertPhase.Raised, Cases(new CaseCell(RedCase, 4, 8))!.Phase);
        Assert.Equal(AlertPhase.Stands, Cases(new CaseCell(RedCase, 4, 8))!.Phase);
        Assert.Equal(AlertPhase.Cleared, Cases(new CaseCell(RedCase, 4, 4), new CaseCell(BlueCase, 4, 4))!.Phase);
    }

    [Fact]
    public void DayInOneCase_WhereThereIsOnlyOneCase_IsSilent()
    {
        var desk = new AlertDesk(new DayInOneCase());

        Assert.Null(desk.Show("red case", i => i with { Ledger = Ledger(desk, [Drive(desk)], [new CaseCell(RedCase, 4, 8)]) }));
    }

    [Fact]
    public void SingleCopyAtNightfall_FireSilentClear()
    {
        var team = KitId.Parse("ridge team");
        var desk = new AlertDesk(new SingleCopyAtNightfall());
        AlertChange? Night(Instant nightfall, int one, int none = 0) => desk.Show("ridge team", i => i with
        {
            Zone = Offset.FromHours(6),
            Nightfalls = new Dictionary<KitId, Instant> { [team] = nightfall },
            Ledger = LedgerView.Empty(desk.Now) with { Days = [new DayRow(new LocalDate(2027, 2, 9), team, 4, ByteCount.FromGigabytes(4), Duration.Zero, 4, 2, 2, []) { OneCopyClips = one, NoCopyClips = none }] },
        });
        Instant before = Instant.FromUtc(2027, 2, 8, 12, 0);
        Instant after = Instant.FromUtc(2027, 2, 9, 12, 0);

        Assert.Null(Night(before, one: 3));
        AlertChange raised = Night(after, one: 3)!;
        Assert.Equal(AlertPhase.Raised, raised.Phase);
        Assert.Equal("3 clips have one copy: footage of 2027-02-09.", raised.Alert.What);
        Assert.Contains("of 1 of them the card is all there is", Night(after, one: 3, none: 1)!.Alert.What, StringComparison.Ordinal);
        Assert.Equal(AlertPhase.Cleared, Night(after, one: 0)!.Phase);
    }

    private static void FireSilentClear(IAlertRule rule, Func<AlertDesk, DriveRow> well, Func<AlertDesk, DriveRow> ill, string said)
    {
        var desk = new AlertDesk(rule);

        Assert.Null(Show(desk, well(desk)));
        AlertChange raised = Show(desk, ill(desk))!;
        Assert.Equal(AlertPhase.Raised, raised.Phase);
        Assert.Contains(said, raised.Alert.What, StringComparison.Ordinal);
        Assert.NotEmpty(raised.Alert.Do);
        Assert.Equal(AlertPhase.Stands, Show(desk, ill(desk))!.Phase);
        Assert.Equal(AlertPhase.Cleared, Show(desk, well(desk))!.Phase);
    }

    private static AlertChange? Show(AlertDesk desk, DriveRow drive) => desk.Show("drive red", i => i with { Ledger = Ledger(desk, [drive], []) });

    private static DriveRow Drive(AlertDesk desk) => new(
        Red, true, RedCase, null, ByteCount.FromGigabytes(4000), ByteCount.FromGigabytes(3000), 10, ByteCount.FromGigabytes(10), 0, 0, desk.Now, desk.Now, DriveHealth.Passed, null, null);

    private static LedgerView Ledger(AlertDesk desk, ValueList<DriveRow> drives, ValueList<CaseCell> cases) => LedgerView.Empty(desk.Now) with
    {
        Drives = drives,
        Days = cases.Count == 0
            ? []
            : [new DayRow(new LocalDate(2027, 2, 9), null, 4, ByteCount.FromGigabytes(4), Duration.Zero, 4, 2, cases.Count, cases)],
    };
}
