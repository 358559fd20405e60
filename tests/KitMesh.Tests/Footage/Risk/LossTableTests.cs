using System.Globalization;
using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Footage.Risk;
using KitMesh.Tests.Published;

namespace KitMesh.Tests.Footage.Risk;

/// <summary>
/// Every row of loss-probability.csv to 1e-9 relative.
/// </summary>
/// <remarks>
/// Sources of the forms: constant-hazard AFR and shared-shock product (conditioning on independent common causes, NUREG/CR-4780,
/// 1988); beta factor (IEC 61508-6 and NUREG/CR-4780); read errors 1 - exp(8N ln(1 - r)) with the rates of JEDEC JESD218 and of
/// makers' sheets. The figures were computed from these forms with an independent program in another language.
/// </remarks>
public sealed class LossTableTests
{
    private static readonly PublishedTable Table = PublishedTable.Load("loss-probability.csv");

    public static TheoryData<string, string, string, string, string, string> GroupRows()
    {
        var data = new TheoryData<string, string, string, string, string, string>();
        foreach (var row in Table.Rows.Where(row => row["case"] == "groups"))
        {
            data.Add(row["AFR"], row["days"], row["q_copy"], row["shock_p_per_container"], row["groups"], row["P_loss"]);
        }

        return data;
    }

    public static TheoryData<string, string, string, string> BetaRows()
    {
        var data = new TheoryData<string, string, string, string>();
        foreach (var row in Table.Rows.Where(row => row["case"].StartsWith("beta", StringComparison.Ordinal)))
        {
            data.Add(row["case"], row["AFR"], row["days"], row["P_loss"]);
        }

        return data;
    }

    public static TheoryData<string, string> ReadRows()
    {
        var data = new TheoryData<string, string>();
        foreach (var row in Table.Rows.Where(row => row["case"].StartsWith("P(", StringComparison.Ordinal)))
        {
            data.Add(row["case"], row["P_loss"]);
        }

        return data;
    }

    [Fact]
    public void Table_HoldsAllThreeKindsOfRow() =>
        Assert.Equal((56, 12, 32), (GroupRows().Count, BetaRows().Count, ReadRows().Count));

    [Theory]
    [MemberData(nameof(GroupRows))]
    public void Groups_OfCopiesInCases_MatchTheTable(string afr, string days, string q, string shock, string groups, string loss)
    {
        double chance = FailureChance.OfDrive(Number(afr), Number(days));
        int[] copies = [.. groups.Split('+').Select(int.Parse)];
        (LossModel model, HeldSet set) = InCases(chance, Number(shock), copies);

        Near(Number(q), chance);
        Near(Number(loss), model.ClipLost(set));
        Near(Number(loss), model.AnyLost([set]).Upper);
        Assert.True(model.AnyLost([set]).IsExact);
    }

    [Theory]
    [MemberData(nameof(BetaRows))]
    public void Beta_FactorOfABatch_MatchesTheTable(string name, string afr, string days, string loss)
    {
        double beta = Number(name.Split(' ')[0]["beta=".Length..]);
        int count = int.Parse(name.Split("k=")[1], CultureInfo.InvariantCulture);
        double chance = FailureChance.OfDrive(Number(afr), Number(days));
        int[] all = [.. Enumerable.Range(0, count)];
        var model = new LossModel(
            all.Select(_ => (1 - beta) * chance),
            [new Shock("batch", beta * chance, all.ToValueList())]);

        Near(Number(loss), FailureChance.OfAllWithCommonCause(chance, beta, count));
        Near(Number(loss), model.ClipLost(new HeldSet(all.ToValueList(), all.Select(_ => 0.0).ToValueList(), 1)));
    }

    [Theory]
    [MemberData(nameof(ReadRows))]
    public void Reading_ManyBytes_MatchesTheTable(string name, string loss)
    {
        string[] words = name.Split(' ');
        double terabytes = Number(words[3]);
        double rate = Number(words[^1]);

        Near(Number(loss), FailureChance.OfReading(new ByteCount((long)Math.Round(terabytes * 1e12)), rate), 3e-9);
    }

    [Fact]
    public void AnnualRate_FromMeanTime_IsNotTheLinearForm() =>
        Assert.Equal(0.008728, FailureChance.AnnualFromMeanTime(1_000_000), 6);

    private static (LossModel Model, HeldSet Set) InCases(double chance, double shock, int[] copies)
    {
        List<Shock> shocks = [];
        int next = 0;
        foreach (int count in copies)
        {
            shocks.Add(new Shock($"case {shocks.Count + 1}", shock, Enumerable.Range(next, count).ToValueList()));
            next += count;
        }

        ValueList<int> drives = Enumerable.Range(0, next).ToValueList();
        return (new LossModel(drives.Select(_ => chance), shocks), new HeldSet(drives, drives.Select(_ => 0.0).ToValueList(), 1));
    }

    private static double Number(string text) => double.Parse(text, CultureInfo.InvariantCulture);

    // The table prints 11 significant digits (9 in the rows of read errors).
    private static void Near(double expected, double actual, double relative = 1e-9) =>
        Assert.InRange(actual, expected * (1 - relative), expected * (1 + relative));
}
