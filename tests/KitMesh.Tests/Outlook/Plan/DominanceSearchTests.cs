using CsCheck;
using KitMesh.Outlook.Plan;

namespace KitMesh.Tests.Outlook.Plan;

public sealed class DominanceSearchTests
{
    [Fact]
    public void Find_SmallLists_IsWhatBruteForceFinds() => Gen.Int.Sample(seed =>
    {
        var random = new Random(seed);
        (int Least, int Most, double Kilograms)[] choices =
            [.. Enumerable.Range(0, random.Next(1, 4)).Select(_ => (random.Next(2), random.Next(2, 7), Math.Round(0.1 + random.NextDouble(), 2)))];
        double[] worth = [.. choices.Select(_ => random.NextDouble())];
        double Chance(int[] counts) => 1 / (1 + counts.Select((count, i) => Math.Sqrt(count) * worth[i]).Sum());
        double limit = 0.2 + (random.NextDouble() * 0.4);

        (int[] Counts, double Chance, bool IsProven)? found = new DominanceSearch(choices, Chance).Find(limit, int.MaxValue);

        double? lightest = All(choices).Where(counts => Chance(counts) <= limit).Select(counts => (double?)(float)Weight(choices, counts)).Min();
        Assert.Equal(lightest, found is { } it ? (double?)(float)Weight(choices, it.Counts) : null);
        Assert.True(found?.IsProven ?? true);
    });

    [Fact]
    public void Find_AMillionCombinations_TakesAtMost200JudgementsAndSaysWhetherItIsProven()
    {
        (int, int, double)[] choices = [(0, 9, 11), (0, 9, 6.4), (0, 9, 2.3), (0, 9, 6), (0, 9, 3.3), (0, 9, 9.5)];
        double[][] features = [[100, 0], [55, 0], [20, 0], [0, 200], [0, 100], [0, 330]];
        double Sum(int[] counts, int feature) => counts.Select((count, i) => count * features[i][feature]).Sum();
        double Chance(int[] counts) => Math.Exp(-Math.Sqrt(Sum(counts, 0) * Sum(counts, 1)) / 130);
        var search = new DominanceSearch(choices, Chance, features);

        (int[] Counts, double Chance, bool IsProven)? found = search.Find(0.05, 200);

        Assert.InRange(search.Judged.Count, 1, 200);
        Assert.True(found!.Value.Chance <= 0.05);
        double best = Weight(choices, found.Value.Counts);
        double lightest = All(choices).Where(counts => Chance(counts) <= 0.05).Min(counts => Weight(choices, counts));
        TestContext.Current.TestOutputHelper?.WriteLine($"{search.Judged.Count} judgements, {best} kg of {lightest} kg, proven {found.Value.IsProven}");
        Assert.True(!found.Value.IsProven || Math.Abs(best - lightest) < 1e-4);
        Assert.InRange(best, lightest - 1e-4, lightest * 1.05);
    }

    [Fact]
    public void Find_NothingGoodEnough_IsNull() => Assert.Null(new DominanceSearch([(0, 3, 1)], _ => 0.5).Find(0.05, 100));

    private static double Weight(IReadOnlyList<(int Least, int Most, double Kilograms)> choices, int[] counts) => counts.Select((count, i) => count * choices[i].Kilograms).Sum();

    private static IEnumerable<int[]> All((int Least, int Most, double Kilograms)[] choices) => choices.Aggregate(
        (IEnumerable<int[]>)[[]],
        (lists, choice) => lists.SelectMany(list => Enumerable.Range(choice.Least, choice.Most - choice.Least + 1).Select(count => (int[])[.. list, count])));
}
