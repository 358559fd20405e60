using CsCheck;
using KitMesh.Domain.Reports;
using KitMesh.Storage.RollUps;
using KitMesh.TestKit.Storage;
using NodaTime;

namespace KitMesh.Tests.Storage.RollUps;

public sealed class HourRollUpsTests : IDisposable
{
    private static readonly Instant Begin = Instant.FromUtc(2027, 2, 14, 0, 0);

    // Minutes since the begin, which box, tenths of a degree: four days, so that values reach over hours and midnights and fall silent for longer than a hold.
    private static readonly Gen<(int Minute, int Box, int Tenths)[]> Readings = Gen.Select(Gen.Int[0, 4 * 1440], Gen.Int[0, 2], Gen.Int[-300, 100]).Array[1, 120];

    private readonly string _folder = Directory.CreateTempSubdirectory("kitmesh-rollups-").FullName;
    private int _spills;

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [Fact]
    public void Hours_OfReadingsInAnyOrder_AreTheSumsOfEveryMinute() => Readings.Sample(
        readings =>
        {
            // Two readings of one box in one minute would be decided by their sequence: one is enough here.
            readings = [.. readings.DistinctBy(one => (one.Minute, one.Box))];
            Dictionary<(string, Instant), (int, double, double)> told = Told(readings, HourRollUps.MostSamples);
            Assert.Equal(ByMinute(readings), told);
        },
        iter: 300);

    [Theory]
    [InlineData(1)]
    [InlineData(37)]
    public void Hours_WhenFewReadingsFitIntoMemory_AreTheSame(int most) => Readings.Sample(
        readings => Assert.Equal(Told(readings, HourRollUps.MostSamples), Told(readings, most)), iter: 100);

    [Fact]
    public void Hours_OfMoreDaysAndReadingsThanBlocks_LoseNothing()
    {
        // Three days with an open block, of which one fills several.
        using var spill = new SampleSpill(Spill(), mostOpen: 3);
        int[] days = [.. Enumerable.Range(0, 50).Select(i => i * i % 17), .. Enumerable.Repeat(3, (3 * SampleSpill.BlockSamples) + 5)];
        for (int i = 0; i < days.Length; i++)
        {
            spill.Add(days[i], new RollUpSample(i, 0, 0, 1, 1));
        }

        Assert.Equal(days.Distinct().Order().Select(day => (long)day), spill.Days);
        Assert.All(spill.Days, day => Assert.Equal(
            Enumerable.Range(0, days.Length).Where(i => days[i] == day).Select(i => (long)i),
            spill.Read(day).SelectMany(block => block).Select(sample => sample.Time)));
    }

    [Fact]
    public void Dispose_AfterUse_LeavesNoFile()
    {
        using (var hours = new HourRollUps(Spill()))
        {
            hours.Add(new ReportMaker("agent").Temperature(1, Begin, -4).Timed);
            Assert.Single(Directory.EnumerateFiles(_folder));
        }

        Assert.Empty(Directory.EnumerateFiles(_folder));
    }

    // A value holds to the next of its series, at most an hour; the last of all holds for no time. Whole minutes, so that minutes can be counted.
    private static Dictionary<(string Item, Instant Start), (int Samples, double Mean, double Known)> ByMinute((int Minute, int Box, int Tenths)[] readings)
    {
        var hours = new Dictionary<(string, Instant), (int, double, double)>();
        foreach (var box in readings.GroupBy(one => one.Box))
        {
            (int Minute, int Box, int Tenths)[] all = [.. box.OrderBy(one => one.Minute)];
            for (int hour = 0; hour <= 97; hour++)
            {
                int samples = all.Count(one => one.Minute / 60 == hour);
                double[] known =
                [
                    .. Enumerable.Range(hour * 60, 60)
                        .Where(minute => minute < all[^1].Minute && all.Any(one => one.Minute <= minute && minute < one.Minute + 60))
                        .Select(minute => all.Last(one => one.Minute <= minute).Tenths / 10.0),
                ];
                if (samples + known.Length > 0)
                {
                    double mean = known.Length > 0 ? known.Average() : all.Last(one => one.Minute / 60 == hour).Tenths / 10.0;
                    hours.Add(($"box {box.Key}", Begin + Duration.FromHours(hour)), (samples, Math.Round(mean, 6), known.Length * 60.0));
                }
            }
        }

        return hours;
    }

    private Dictionary<(string Item, Instant Start), (int Samples, double Mean, double Known)> Told((int Minute, int Box, int Tenths)[] readings, int most)
    {
        var maker = new ReportMaker("agent");
        using var hours = new HourRollUps(Spill(), most);
        for (int i = 0; i < readings.Length; i++)
        {
            hours.Add(maker.Temperature((ulong)i + 1, Begin + Duration.FromMinutes(readings[i].Minute), readings[i].Tenths / 10.0, $"box {readings[i].Box}").Timed);
        }

        return hours.Hours().ToDictionary(
            one => (one.Series.Item.Value, one.Hour.Start), one => (one.Hour.Samples, Math.Round(one.Hour.Mean, 6), one.Hour.Known.TotalSeconds));
    }

    private string Spill() => Path.Combine(_folder, $"spill-{Interlocked.Increment(ref _spills)}.part");
}
