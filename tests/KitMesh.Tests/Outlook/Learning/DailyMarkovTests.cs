using KitMesh.Outlook.Learning;
using KitMesh.Tests.Published;

namespace KitMesh.Tests.Outlook.Learning;

/// <summary>The published matrices of daily clearness (Aguiar, Collares-Pereira and Conde 1988; daily-kt-markov.csv and its statistics).</summary>
public sealed class DailyMarkovTests
{
    [Fact]
    public void Ahead_FarOff_HasThePublishedStationaryMeanAndSpread()
    {
        foreach (PublishedRow row in PublishedTable.Load("daily-kt-markov-stats.csv").Rows)
        {
            double mean = row.Number("stationary_mean_Kt");
            double[] clearness = [.. DailyMarkov.For(mean / 0.75).Ahead(0.5, 60, 2_000).Select(index => index * 0.75)];

            Assert.Equal(mean, clearness.Average(), 0.02);
            Assert.Equal(row.Number("stationary_sd_Kt_midpoints"), Math.Sqrt(clearness.Average(k => (k - mean) * (k - mean))), 0.03);
        }
    }

    [Fact]
    public void Ahead_OneDay_RemembersTheDayBefore()
    {
        DailyMarkov matrix = DailyMarkov.For(0.6);

        Assert.True(matrix.Ahead(0.95, 1, 500).Average() > matrix.Ahead(0.15, 1, 500).Average() + 0.05);
    }
}
