using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Models.Battery;

namespace KitMesh.Tests.Models.Battery;

/// <summary>Charge limits against the tables they come from: Battery University BU-410 table 1, pack and module makers' sheets.</summary>
public sealed class ChargeLimitsTests
{
    [Theory]
    [InlineData(Chemistry.Nmc, 0, 45)]
    [InlineData(Chemistry.Lco, 0, 45)]
    [InlineData(Chemistry.Lfp, 0, 45)]
    [InlineData(Chemistry.NiMh, 0, 45)]
    [InlineData(Chemistry.LeadAcid, -20, 50)]
    [InlineData(Chemistry.Unknown, 0, 45)]
    public void For_EveryChemistry_StartsAMarginAboveThePublishedLimit(Chemistry chemistry, double lower, double upper)
    {
        ChargeLimits limits = ChargeLimits.For(chemistry);

        Assert.Equal(lower, limits.PublishedLower.Value);
        Assert.Equal(lower + 2, limits.Lower.Value);
        Assert.Equal(upper, limits.Upper.Value);
        Assert.Equal(0, limits.MaxRate(new(lower + 1.99)));
        Assert.Equal(0, limits.MaxRate(new(upper + 0.01)));
        Assert.True(limits.MaxRate(new(lower + 2)) > 0);
    }

    [Theory]
    [InlineData(Chemistry.Nmc, 3, 0.1)]
    [InlineData(Chemistry.Nmc, 10, 0.2)]
    [InlineData(Chemistry.Nmc, 20, 0.5)]
    [InlineData(Chemistry.Lfp, 3, 0.1)]
    [InlineData(Chemistry.Lfp, 12, 0.2)]
    [InlineData(Chemistry.Lfp, 30, 0.5)]
    public void MaxRate_ZonesOfThePublishedSheets_AreKept(Chemistry chemistry, double celsius, double rate) =>
        Assert.Equal(rate, ChargeLimits.For(chemistry).MaxRate(new(celsius)));

    [Fact]
    public void MaxRate_NotANumber_IsZero() => Assert.Equal(0, ChargeLimits.For(Chemistry.Lfp).MaxRate(new(double.NaN)));

    [Fact]
    public void For_LooserMaker_KeepsTheDefault() => Assert.Equal(2, ChargeLimits.For(Pack(minimum: -20)).Lower.Value);

    [Fact]
    public void For_StricterMaker_Wins()
    {
        ChargeLimits limits = ChargeLimits.For(Pack(minimum: 8, maximum: 40, cell: 3.5));

        Assert.Equal(8, limits.Lower.Value);
        Assert.Equal(40, limits.Upper.Value);
        Assert.Equal(14.0, limits.MaxPackVolts(4, new(25))!.Value.Value, 1e-9);
    }

    [Fact]
    public void For_ImpossibleWindow_MayNeverCharge()
    {
        ChargeLimits limits = ChargeLimits.For(Pack(minimum: 50));

        Assert.All(Enumerable.Range(-40, 120), celsius => Assert.False(limits.MayCharge(new(celsius))));
    }

    [Fact]
    public void ForAll_MixedPacks_TakesTheStricterEverywhere()
    {
        ChargeLimits mixed = ChargeLimits.ForAll([Pack(), Pack() with { Chemistry = Chemistry.Nmc }]);

        foreach (double celsius in new[] { 1.0, 4, 7, 12, 20, 30, 44, 46 })
        {
            double strictest = Math.Min(ChargeLimits.For(Chemistry.Lfp).MaxRate(new(celsius)), ChargeLimits.For(Chemistry.Nmc).MaxRate(new(celsius)));
            Assert.Equal(strictest, mixed.MaxRate(new(celsius)));
        }

        Assert.Null(mixed.MaxCell);
    }

    [Fact]
    public void MaxCurrent_ColdAndWarmProbe_TakesTheStricter() =>
        Assert.Equal(6, ChargeLimits.For(Chemistry.Lfp).MaxCurrent(new(4), new(30), new(60)).Value, 1e-9);

    [Fact]
    public void MaxPackVolts_UnknownChemistry_IsNotJudged() => Assert.Null(ChargeLimits.For(Chemistry.Unknown).MaxPackVolts(4, new(25)));

    [Fact]
    public void MaxPackVolts_LeadAcidInTheCold_Rises() =>
        Assert.True(ChargeLimits.For(Chemistry.LeadAcid).MaxPackVolts(6, new(-10))!.Value > ChargeLimits.For(Chemistry.LeadAcid).MaxPackVolts(6, new(25))!.Value);

    private static Pack Pack(double? minimum = null, double? maximum = null, double? cell = null) => new(
        KitId.Parse("pack"), null, Chemistry.Lfp, 4, new(60), null,
        minimum is { } low ? new Celsius(low) : null, maximum is { } high ? new Celsius(high) : null, cell is { } volts ? new Volts(volts) : null, null);
}
