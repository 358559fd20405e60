using CsCheck;
using KitMesh.Domain.Digest;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Tests.Digest;

public sealed class DigestLineTests
{
    public static TheoryData<DigestSize> Sizes => [.. Enum.GetValues<DigestSize>()];

    [Theory]
    [MemberData(nameof(Sizes))]
    public void Write_AnyContent_FitsItsSizeAndReadsBackAsAPrefix(DigestSize size) => Gen.Int.Sample(seed =>
    {
        DigestContent content = new DigestDraw(seed).Content();

        string line = DigestLine.Write(content, size);
        DigestContent told = ContentOf(line);

        Assert.InRange(line.Length, 1, (int)size);
        Assert.Equal(content with { Banks = told.Banks, MoreBanks = told.MoreBanks, Alerts = told.Alerts, Footage = told.Footage, Days = told.Days }, told);
        Assert.Equal(content.Banks.Take(told.Banks.Count), told.Banks);
        Assert.Equal(content.Alerts.Take(told.Alerts.Count), told.Alerts);
        Assert.Equal(content.Days.Take(told.Days.Count), told.Days);
        Assert.Equal(content.MoreBanks || told.Banks.Count < content.Banks.Count, told.MoreBanks);
        Assert.Equal(content.Footage, told.Footage is null ? null : told.Footage with { Drives = content.Footage!.Drives });
        Assert.Equal(line, DigestLine.Write(told, size));
    });

    [Fact]
    public void Write_ShortestLine_KeepsOneBankOneAlertAndOneDrive()
    {
        DigestContent told = ContentOf(DigestLine.Write(DigestDraw.Full(1), DigestSize.Radio51));

        Assert.Single(told.Banks);
        Assert.Single(told.Alerts);
        Assert.Single(told.Footage!.Drives);
        Assert.True(told.MoreBanks);
    }

    [Theory]
    [MemberData(nameof(Sizes))]
    public void Write_AnySize_UsesTheGsm7AlphabetOnly(DigestSize size) =>
        // 3GPP TS 23.038 table 1: digits and capitals are single septets of the default alphabet.
        Assert.All(DigestLine.Write(DigestDraw.Full(2), size), symbol => Assert.True(char.IsAsciiDigit(symbol) || char.IsAsciiLetterUpper(symbol)));

    [Fact]
    public void Write_Ranges_NeverBecomeNarrower() => Gen.Select(Gen.Double[0, 1], Gen.Double[0, 1], Gen.Double[0, 1]).Sample(drawn =>
    {
        double[] sorted = [.. new[] { drawn.Item1, drawn.Item2, drawn.Item3 }.Order()];
        DigestBank bank = DigestDraw.Full(3).Banks[0] with { ShortLow = new Probability(sorted[0]), ShortBest = new Probability(sorted[1]), ShortHigh = new Probability(sorted[2]) };

        DigestBank told = ContentOf(DigestLine.Write(DigestDraw.Full(3) with { Banks = [bank] }, DigestSize.Radio51)).Banks[0];

        Assert.True(told.ShortLow!.Value.Value <= sorted[0]);
        Assert.True(told.ShortHigh!.Value.Value >= sorted[2]);
        Assert.InRange(told.ShortBest!.Value.Value, told.ShortLow.Value.Value, told.ShortHigh.Value.Value);
    });

    [Fact]
    public void Write_TemperatureAndSpendable_AreRoundedToTheCautiousSide()
    {
        DigestBank bank = DigestDraw.Full(3).Banks[0] with { Coldest = new Celsius(3.9), Spendable = new WattHours(419.9), ChargeDoubt = 0.031 };

        DigestBank told = ContentOf(DigestLine.Write(DigestDraw.Full(3) with { Banks = [bank] }, DigestSize.Radio51)).Banks[0];

        Assert.Equal(new Celsius(3), told.Coldest);
        Assert.Equal(new WattHours(410), told.Spendable);
        Assert.Equal(0.06, told.ChargeDoubt, 1e-12);
    }

    [Fact]
    public void Read_GroupedInSmallLettersWithLookAlikes_IsTheSameLine()
    {
        string line = DigestLine.Write(DigestDraw.Full(4), DigestSize.Data140);
        string typed = $"  {DigestLine.Grouped(line).ToLowerInvariant().Replace('1', 'l').Replace('0', 'o')}\r\n";

        Assert.Equal(line, Assert.IsType<DigestReading.Read>(DigestLine.Read(typed)).Line);
    }

    [Fact]
    public void Read_WorkedExampleOfThePage_GivesItsFigures()
    {
        string page = File.ReadAllText(Architecture.SourceTree.PathTo("docs", "digest-line.md"));
        string line = page.Split('\n').SkipWhile(text => !text.StartsWith("## Worked example", StringComparison.Ordinal)).First(text => text.StartsWith("    1", StringComparison.Ordinal)).Trim();

        DigestContent told = ContentOf(line);

        Assert.Equal(Example(), told);
        Assert.Equal(line, DigestLine.Write(Example(), DigestSize.Radio51));
    }

    [Fact]
    public void NameTag_OfAName_IsTheTopOfItsSha256()
    {
        // FIPS 180-4 example: SHA-256("abc") begins ba7816bf, so the first ten bits are 10 1110 1001.
        Assert.Equal(0b10_1110_1001, NameTag.Of("abc").Value);
    }

    internal static DigestContent Example() => new(
        Instant.FromUtc(2027, 2, 14, 18, 30),
        NameTag.Of(KitId.Parse("ridge team")),
        [
            new DigestBank(
                NameTag.Of(KitId.Parse("ridge bank")), new StateOfCharge(0.62), 0.09, new Probability(0.07), new Probability(0.02), new Probability(0.2),
                18, new WattHours(410), Domain.Results.ChargeReadinessState.WarmFirst, new Celsius(-4)),
        ],
        false,
        0,
        1,
        2,
        [new DigestAlert(NameTag.Of("pack-cold-for-charging"), NameTag.Of(KitId.Parse("ridge bank")), Domain.Results.AlertWeight.Act, 12)],
        new DigestFootage(2, 1, 0, 3, new Probability(0.001), new Probability(0.0005), new Probability(0.01), new Probability(0.95), [new DigestDrive(NameTag.Of(KitId.Parse("drive red")), 9, new Probability(0.8))]),
        []);

    private static DigestContent ContentOf(string line) => Assert.IsType<DigestReading.Read>(DigestLine.Read(line)).Content;
}
