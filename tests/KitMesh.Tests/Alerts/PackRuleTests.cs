using KitMesh.Alerts;
using KitMesh.Alerts.Rules.Packs;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.TestKit.Alerts;
using NodaTime;

namespace KitMesh.Tests.Alerts;

/// <summary>
/// Limits: Battery University BU-410 table 1 (no charge of lithium cells under 0 °C, lead-acid from -20 °C) and the zone
/// tables named in the charge limits; the margin of 2 K on the lower limit is our own.
/// </summary>
public sealed class PackRuleTests
{
    private const string Bank = "ridge bank";

    [Theory]
    [InlineData(Chemistry.Lfp, -0.1)]
    [InlineData(Chemistry.Lfp, 1.9)]
    [InlineData(Chemistry.Nmc, -12)]
    [InlineData(Chemistry.Lco, 0.5)]
    [InlineData(Chemistry.NiMh, -1)]
    [InlineData(Chemistry.Unknown, 1)]
    [InlineData(Chemistry.LeadAcid, -18.5)]
    public void ChargingTooCold_FirstReadingUnderTheLimit_Fires(Chemistry chemistry, double probe)
    {
        AlertChange change = Show(new(new ChargingTooCold()), PackScene.Pack(chemistry), PackScene.Reading(amperes: 3, probes: [20, probe]))!;

        Assert.Equal((AlertPhase.Raised, AlertWeight.Danger), (change.Phase, change.Alert.Weight));
        Assert.Contains("Stop the charging", change.Alert.Do, StringComparison.Ordinal);
        Assert.Contains("data sheet decides", change.Alert.Do, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(3, 2.1)]
    [InlineData(0.01, -20)]
    [InlineData(-5, -20)]
    public void ChargingTooCold_WarmEnoughOrNotCharging_IsSilent(double amperes, double probe) =>
        Assert.Null(Show(new(new ChargingTooCold()), PackScene.Pack(), PackScene.Reading(amperes: amperes, probes: probe)));

    [Fact]
    public void ChargingTooCold_LeadAcidInTheCold_IsSilent() =>
        Assert.Null(Show(new(new ChargingTooCold()), PackScene.Pack(Chemistry.LeadAcid, 6), PackScene.Reading(amperes: 5, probes: -15)));

    [Fact]
    public void ChargingTooCold_MakersLimitIsStricter_Wins() =>
        Assert.NotNull(Show(new(new ChargingTooCold()), PackScene.Pack(minCharge: 5), PackScene.Reading(amperes: 3, probes: 4)));

    [Fact]
    public void ChargingTooCold_MakersLimitIsLooser_DoesNotWin() =>
        Assert.NotNull(Show(new(new ChargingTooCold()), PackScene.Pack(minCharge: -10), PackScene.Reading(amperes: 3, probes: -4)));

    [Fact]
    public void ChargingTooCold_CurrentUnknownButPowerFlows_Fires() =>
        Assert.NotNull(Show(new(new ChargingTooCold()), PackScene.Pack(), PackScene.Reading(volts: 13, watts: 40, probes: -4)));

    [Fact]
    public void ChargingTooCold_Standing_ClearsAKelvinAboveTheLimitNotAtIt()
    {
        var desk = new AlertDesk(new ChargingTooCold());
        Pack pack = PackScene.Pack();

        Assert.Equal(AlertPhase.Raised, Show(desk, pack, PackScene.Reading(amperes: 3, probes: 1))!.Phase);
        Assert.Equal(AlertPhase.Stands, Show(desk, pack, PackScene.Reading(amperes: 3, probes: 2.5))!.Phase);
        Assert.Null(Show(desk, pack, PackScene.Reading(volts: 13)));
        Assert.Equal(AlertPhase.Cleared, Show(desk, pack, PackScene.Reading(amperes: 3, probes: 3.1))!.Phase);
        Assert.Null(Show(desk, pack, PackScene.Reading(amperes: 3, probes: 2.5)));
    }

    [Fact]
    public void ChargingTooCold_ChargingStops_Clears()
    {
        var desk = new AlertDesk(new ChargingTooCold());

        Show(desk, PackScene.Pack(), PackScene.Reading(amperes: 3, probes: -5));

        Assert.Equal(AlertPhase.Cleared, Show(desk, PackScene.Pack(), PackScene.Reading(amperes: 0, probes: -5))!.Phase);
    }

    [Theory]
    [InlineData(5, 10.5)] // 5 °C: a tenth of the capacity an hour
    [InlineData(12, 20.5)] // 10 to 25 °C: a fifth
    [InlineData(30, 51.1)] // above 25 °C: a half
    public void ChargeCurrentHigh_AboveTheZoneOfTheColdestProbe_Fires(double coldest, double amperes) =>
        Assert.Equal(AlertPhase.Raised, Show(new(new ChargeCurrentHigh()), PackScene.Pack(), PackScene.Reading(amperes: amperes, probes: [coldest, 35]))!.Phase);

    [Theory]
    [InlineData(5, 10)]
    [InlineData(12, 20)]
    [InlineData(30, 50)]
    public void ChargeCurrentHigh_WithinTheZone_IsSilent(double coldest, double amperes) =>
        Assert.Null(Show(new(new ChargeCurrentHigh()), PackScene.Pack(), PackScene.Reading(amperes: amperes, probes: [coldest, 35])));

    [Fact]
    public void ChargeCurrentHigh_NoProbe_IsJudgedByTheLoosestZone()
    {
        Assert.Null(Show(new(new ChargeCurrentHigh()), PackScene.Pack(), PackScene.Reading(amperes: 50)));
        Assert.NotNull(Show(new(new ChargeCurrentHigh()), PackScene.Pack(), PackScene.Reading(amperes: 60)));
    }

    [Fact]
    public void ChargeCurrentHigh_Standing_ClearsUnderNinetyFivePercent()
    {
        var desk = new AlertDesk(new ChargeCurrentHigh());
        Show(desk, PackScene.Pack(), PackScene.Reading(amperes: 11, probes: 5));

        Assert.Equal(AlertPhase.Stands, Show(desk, PackScene.Pack(), PackScene.Reading(amperes: 9.8, probes: 5))!.Phase);
        Assert.Equal(AlertPhase.Cleared, Show(desk, PackScene.Pack(), PackScene.Reading(amperes: 9.4, probes: 5))!.Phase);
    }

    [Fact]
    public void PackVoltsHigh_LeadAcidChargerOnLithium_SaysFire()
    {
        // 3 cells NMC: 12.6 V at most; a lead-acid charger gives about 14.4 V.
        AlertChange change = Show(new(new PackVoltsHigh()), PackScene.Pack(Chemistry.Nmc, 3), PackScene.Reading(volts: 14.4, probes: 15))!;

        Assert.Equal((AlertPhase.Raised, AlertWeight.Danger), (change.Phase, change.Alert.Weight));
        Assert.Contains("FIRE", change.Alert.What, StringComparison.Ordinal);
        Assert.Contains("lead-acid", change.Alert.What, StringComparison.Ordinal);
    }

    [Fact]
    public void PackVoltsHigh_OneCellAboveItsMaximum_FiresThoughThePackIsNot() =>
        Assert.Contains("highest cell", Show(new(new PackVoltsHigh()), PackScene.Pack(), PackScene.Reading(volts: 14.2, lowest: 3.4, highest: 3.75, probes: 15))!.Alert.What, StringComparison.Ordinal);

    [Theory]
    [InlineData(Chemistry.Lfp, 4, 14.6)]
    [InlineData(Chemistry.LeadAcid, 6, 14.6)]
    public void PackVoltsHigh_AtTheLimit_IsSilent(Chemistry chemistry, int series, double volts) =>
        Assert.Null(Show(new(new PackVoltsHigh()), PackScene.Pack(chemistry, series), PackScene.Reading(volts: volts, probes: 15)));

    [Fact]
    public void PackVoltsHigh_MakersCellMaximum_IsTaken() =>
        Assert.NotNull(Show(new(new PackVoltsHigh()), PackScene.Pack(maxCell: 3.5), PackScene.Reading(volts: 14.2, probes: 15)));

    [Fact]
    public void PackVoltsHigh_VoltsFall_Clears()
    {
        var desk = new AlertDesk(new PackVoltsHigh());
        Show(desk, PackScene.Pack(), PackScene.Reading(volts: 14.8, probes: 15));

        Assert.Equal(AlertPhase.Stands, Show(desk, PackScene.Pack(), PackScene.Reading(volts: 14.58, probes: 15))!.Phase);
        Assert.Equal(AlertPhase.Cleared, Show(desk, PackScene.Pack(), PackScene.Reading(volts: 13.6, probes: 15))!.Phase);
    }

    [Fact]
    public void CellSpread_FireSilentClear()
    {
        var desk = new AlertDesk(new CellSpread());

        Assert.Null(Show(desk, PackScene.Pack(), PackScene.Reading(lowest: 3.30, highest: 3.39)));
        Assert.Equal(AlertPhase.Raised, Show(desk, PackScene.Pack(), PackScene.Reading(lowest: 3.25, highest: 3.36))!.Phase);
        Assert.Equal(AlertPhase.Stands, Show(desk, PackScene.Pack(), PackScene.Reading(lowest: 3.27, highest: 3.35))!.Phase);
        Assert.Equal(AlertPhase.Cleared, Show(desk, PackScene.Pack(), PackScene.Reading(lowest: 3.30, highest: 3.35))!.Phase);
    }

    [Fact]
    public void PackHot_FireSilentClear()
    {
        var desk = new AlertDesk(new PackHot());

        Assert.Null(Show(desk, PackScene.Pack(), PackScene.Reading(probes: [20, 44])));
        Assert.Equal(AlertPhase.Raised, Show(desk, PackScene.Pack(), PackScene.Reading(probes: [20, 46]))!.Phase);
        Assert.Equal(AlertPhase.Stands, Show(desk, PackScene.Pack(), PackScene.Reading(probes: [20, 43]))!.Phase);
        Assert.Equal(AlertPhase.Cleared, Show(desk, PackScene.Pack(), PackScene.Reading(probes: [20, 41]))!.Phase);
    }

    [Fact]
    public void PackColdForCharging_OnlyWhenChargingComesSoon()
    {
        var desk = new AlertDesk(new PackColdForCharging());
        AlertChange? At(Duration untilSun, double probe) => desk.Show(Bank, i => i with
        {
            Packs = [PackScene.Pack().Seen(PackScene.Reading(probes: probe), desk.Now) with { NextCharging = desk.Now + untilSun }],
        });

        Assert.Null(At(Duration.FromHours(8), -10));
        Assert.Equal(AlertPhase.Raised, At(Duration.FromHours(2), -10)!.Phase);
        Assert.Equal(AlertPhase.Stands, At(Duration.FromHours(1), 2.5)!.Phase);
        Assert.Equal(AlertPhase.Cleared, At(Duration.FromMinutes(30), 3.5)!.Phase);
    }

    [Fact]
    public void PackColdForCharging_NamesTheBoxHeaterAndWarnsOfStoves()
    {
        var box = new Box(KitId.Parse("ridge box"), new(0.25), new(12_000), new Watts(40), new Celsius(4), new Celsius(15));
        var desk = new AlertDesk(new PackColdForCharging());

        AlertChange change = desk.Show(Bank, i => i with { Packs = [PackScene.Pack().Seen(PackScene.Reading(probes: -10), desk.Now) with { Box = box }] })!;

        Assert.Contains("ridge box (40 W)", change.Alert.Do, StringComparison.Ordinal);
        Assert.Contains("stove", change.Alert.Do, StringComparison.Ordinal);
    }

    private static AlertChange? Show(AlertDesk desk, Pack pack, BatteryReading reading) =>
        desk.Show(Bank, i => i with { Packs = [pack.Seen(reading, desk.Now)] });
}
