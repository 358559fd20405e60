using KitMesh.Outlook.Energy;
using KitMesh.Tests.Published;

namespace KitMesh.Tests.Outlook.Energy;

/// <summary>The day-to-day sky against the published Markov tables of daily clearness (daily-kt-markov-stats.csv) and AR(1) closed forms (ar1.csv).</summary>
public sealed class SkyShapeTests
{
    [Theory]
    [InlineData(0.3, 0.2)]
    [InlineData(0.55, 0.21)]
    [InlineData(0.68, 0.21)]
    [InlineData(0.9, 0.12)]
    public void Fit_MeanAndSpread_ComeOutAsWanted(double mean, double sd)
    {
        (double gotMean, double gotSd) = SkyShape.Fit(mean, sd).Moments();

        Assert.Equal(mean, gotMean, 0.003);
        Assert.Equal(sd, gotSd, 0.004);
    }

    [Fact]
    public void Position_OfAnIndex_IsTheInverse()
    {
        SkyShape sky = SkyShape.Fit(0.7, 0.2);

        foreach (double z in new[] { -2.0, -0.5, 0.0, 1.0, 2.5 })
        {
            Assert.Equal(z, sky.Position(sky.At(z)), 1e-9);
        }
    }

    [Fact]
    public void TypicalSd_PublishedTables_LiesNearEveryClass()
    {
        // Kt of a cloudless day is about 0.75, so that the index has 1/0.75 of the spread of Kt.
        foreach (PublishedRow row in PublishedTable.Load("daily-kt-markov-stats.csv").Rows)
        {
            double index = row.Number("stationary_mean_Kt") / 0.75;
            double sd = row.Number("stationary_sd_Kt_midpoints") / 0.75;
            Assert.Equal(sd, SkyShape.TypicalSd(index), 0.03);
            Assert.InRange(row.Number("lag1_autocorr"), 0.2, 0.4);
        }
    }

    [Fact]
    public void Run_MeanOfSevenDays_HasTheSpreadThatPersistenceGives()
    {
        // Graham, Hollands and Unny 1988: persistence 0.29 (from memory). ar1.csv: sd of a 7-day mean over sigma is 0.4859, against 0.3780 for independent days.
        PublishedRow row = PublishedTable.Load("ar1.csv").Rows.Single(r => r["rho"] == "0.29" && r["n_days"] == "7");
        const double Rho = 0.29;
        const int Paths = 20_000;
        double squares = 0;
        for (int path = 0; path < Paths; path++)
        {
            var random = new LoopRandom(1, path);
            double z = random.NextNormals().A;
            double sum = 0;
            for (int day = 0; day < 7; day++)
            {
                z = (z * Rho) + (random.NextNormals().A * Math.Sqrt(1 - (Rho * Rho)));
                sum += z;
            }

            squares += sum / 7 * (sum / 7);
        }

        Assert.Equal(row.Number("sd_of_mean_over_sigma"), Math.Sqrt(squares / Paths), 0.01);
    }
}
