using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Models.Battery;
using KitMesh.Tests.Published;

namespace KitMesh.Tests.Models.Battery;

/// <summary>Pack model, tables and parallel packs.</summary>
public sealed class PackModelTests
{
    // A measured A123 LFP cell at C/27 (0.0767 A), data exported from G. Plett's ESC toolbox: charge out against 25 °C. The lost cold capacity is a rate effect,
    // so that a model of OCV - I R must give nearly all of it at this rate.
    [Theory]
    [InlineData(-15, 0.989)]
    [InlineData(-5, 0.987)]
    [InlineData(5, 0.991)]
    public void Usable_MeasuredCellAtALowRate_GivesNearlyAllOfItsCharge(double celsius, double measured)
    {
        PackModel cell = Cell(Chemistry.Lfp, 1, 2.06, 0.0099);

        double cold = 1 - cell.Usable(new(1), new(0.0767 * 3.25), new(celsius)).LeftAt.Value;
        double warm = 1 - cell.Usable(new(1), new(0.0767 * 3.25), new(25)).LeftAt.Value;

        Assert.Equal(measured, cold / warm, 0.02);
    }

    [Fact]
    public void Usable_ColderOrHeavier_NeverGivesMore()
    {
        foreach (Chemistry chemistry in Enum.GetValues<Chemistry>())
        {
            PackModel pack = Cell(chemistry, 4, 20, null);
            double before = double.MaxValue;
            foreach (double celsius in new[] { 30.0, 10, 0, -10, -20, -30 })
            {
                double now = pack.Usable(new(0.9), new(60), new(celsius)).Energy.Value;
                Assert.True(now <= before + 1e-9, $"{chemistry} at {celsius} °C");
                Assert.True(pack.Usable(new(0.9), new(120), new(celsius)).Energy.Value <= now + 1e-9);
                before = now;
            }
        }
    }

    [Theory]
    [InlineData(-15)]
    [InlineData(-5)]
    [InlineData(5)]
    [InlineData(15)]
    [InlineData(25)]
    [InlineData(35)]
    public void Ratio_MeasuredLfpCell_GivesTheTable(double celsius)
    {
        PublishedRow row = PublishedTable.Load("battery-lfp-resistance.csv").Rows.Single(r => r.Number("T_C") == celsius);

        Assert.Equal(row.Number("ratio_to_25C"), ResistanceCurve.For(Chemistry.Lfp).Ratio(new(celsius)), 1e-9);
    }

    [Fact]
    public void Ocv_MeasuredCells_GiveTheirTables()
    {
        foreach (PublishedRow row in PublishedTable.Load("battery-ocv.csv").Rows)
        {
            var soc = new StateOfCharge(row.Number("soc"));
            Assert.Equal(row.Number("LG_INR21700M50T_NMC_C32_V"), OcvTable.For(Chemistry.Nmc).At(soc).Value, 1e-9);
            Assert.Equal(row.Number("LithiumWerks_APR18650M1B_LFP_C32_V"), OcvTable.For(Chemistry.Lfp).At(soc).Value, 1e-9);

            // Another maker's cell of the same kind stays inside three standard deviations of the stated spread, the steep end left out.
            if (soc.Value >= 0.1)
            {
                Assert.Equal(row.Number("Molicel_INR21700_P42A_C32_V"), OcvTable.For(Chemistry.Nmc).At(soc).Value, 3.1 * OcvTable.For(Chemistry.Nmc).SpreadVolts.Value);
            }
        }
    }

    [Fact]
    public void ChargeFrom_LfpPlateau_IsWideAndNmcIsNarrow()
    {
        // LFP spans 12 mV between 40 and 65 %: a rested 3.30 V must not be called a number.
        (StateOfCharge low, _, StateOfCharge high) = OcvTable.For(Chemistry.Lfp).ChargeFrom(new(3.300), new(0.003));
        Assert.True(high.Value - low.Value > 0.3);

        (low, _, high) = OcvTable.For(Chemistry.Nmc).ChargeFrom(new(3.75), new(0.003));
        Assert.True(high.Value - low.Value < 0.1);
    }

    [Fact]
    public void Solve_FivePacks_TheOddOneTakesTheCurrentOfAllOthers()
    {
        ParallelPack full = new(new(13.4), new(0.02), new(20));
        ParallelPack empty = new(new(12.9), new(0.02), new(20));

        ParallelAnswer answer = ParallelNetwork.Solve([full, full, empty, full, full]);

        // Millman: node at (4 × 13.4 + 12.9)/5 = 13.3 V; into the empty one 0.4/0.02 = 20 A, five from each of the others.
        Assert.Equal(13.3, answer.Bus.Value, 1e-9);
        Assert.Equal(-20, answer.Currents[2].Value, 1e-9);
        Assert.Equal(5, answer.Currents[0].Value, 1e-9);
        Assert.Equal(2, answer.OddOneOut);
        Assert.Equal(ParallelVerdict.DoNotJoin, answer.Verdict);
        Assert.Equal(0, answer.Currents.Sum(current => current.Value), 1e-9);
    }

    [Fact]
    public void Solve_CloseVolts_IsWithinLimitsButNotPastAColdPacksCurrent()
    {
        ParallelPack a = new(new(13.35), new(0.02), new(10));
        Assert.Equal(ParallelVerdict.WithinLimits, ParallelNetwork.Solve([a, a with { OpenCircuit = new(13.30) }]).Verdict);
        Assert.Equal(ParallelVerdict.DoNotJoin, ParallelNetwork.Solve([a, a with { OpenCircuit = new(13.30), MaxCharge = new Amperes(0) }]).Verdict);
    }

    [Fact]
    public void Delivered_BelowTheRatedCurrent_NeverPassesTheRating() =>
        Assert.Equal(100, Peukert.Delivered(new(100), NodaTime.Duration.FromHours(20), new(2), 1.2).Value, 1e-9);

    [Fact]
    public void Of_ColdPack_EndsConstantCurrentEarlyAndTakesLonger()
    {
        PackModel pack = Cell(Chemistry.Nmc, 4, 24, 0.18);

        ChargeTime warm = ChargeTime.Of(pack, new(0.2), new(0.95), new(4), new(25))!.Value;
        ChargeTime cool = ChargeTime.Of(pack, new(0.2), new(0.95), new(4), new(6))!.Value;

        Assert.True(cool.AfterCurrent.Value < warm.AfterCurrent.Value);
        Assert.True(cool.Total >= warm.Total);
        Assert.Null(ChargeTime.Of(pack, new(0.2), new(0.95), new(4), new(-1)));
    }

    private static PackModel Cell(Chemistry chemistry, int series, double ampereHours, double? ohms) => new(new Pack(
        KitId.Parse("pack"), null, chemistry, series, new(ampereHours), ohms is { } r ? new Ohms(r) : null, null, null, null, null));
}
