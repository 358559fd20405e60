using KitMesh.Domain;
using KitMesh.Domain.Planning;
using KitMesh.Domain.Reports;
using KitMesh.Outlook.Learning;
using KitMesh.Tests.Published;

namespace KitMesh.Tests.Outlook.Learning;

/// <summary>Pooling against published examples and against linear algebra.</summary>
public sealed class KindPoolingTests
{
    [Fact]
    public void Pooling_VaccineTrials_IsTheKnownResult()
    {
        var trials = PublishedTable.Load("bcg-vaccine-trials.csv").Rows.Select(row =>
        {
            double a = row.Number("vaccinated_cases");
            double n = a + row.Number("vaccinated_others");
            double c = row.Number("control_cases");
            double m = c + row.Number("control_others");
            return (Math.Log(a / n) - Math.Log(c / m), Math.Sqrt((1 / a) - (1 / n) + (1 / c) - (1 / m)));
        }).ToArray();

        var pooled = Pooling.Of(trials);

        Assert.Equal(0.3088, pooled.BetweenVariance, 5e-5);
        Assert.Equal(-0.7141, pooled.Mean, 5e-5);
        Assert.Equal(0.1787, pooled.MeanSd, 5e-5);
    }

    [Fact]
    public void Pooling_EightSchools_IsTheTextbooksCommonEstimate()
    {
        // A. Gelman et al., Bayesian Data Analysis, 3rd ed., section 5.5 (from memory): table 5.2; pooled 7.7 with standard error 4.1, no scatter beyond the errors.
        var pooled = Pooling.Of([(28, 15), (8, 10), (-3, 16), (7, 11), (-1, 9), (1, 11), (18, 10), (12, 18)]);

        Assert.Equal(7.7, pooled.Mean, 0.05);
        Assert.Equal(4.1, pooled.MeanSd, 0.05);
        Assert.Equal(0, pooled.BetweenVariance);
    }

    [Fact]
    public void Shrink_ThreeDevices_IsTheNormalPosteriorOfLinearAlgebra()
    {
        // numpy 1.24.2: prior N(0, 0.04 I + 0.25² 11ᵀ), y = (0.30, -0.05, 0.18) with errors (0.05, 0.20, 0.10); K = P (P + R)⁻¹, mean K y, covariance P - K P.
        (double Value, double Sd)[] ratios = [(0.30, 0.05), (-0.05, 0.20), (0.18, 0.10)];
        double[] means = [0.29054716, 0.04465088, 0.17186035];
        double[] deviations = [0.0489998, 0.15320184, 0.09249502];

        (double mean, double sd) = KindPooling.Middle(ratios, 0.04, 0.25);

        Assert.Equal(0.13930175581870152, mean, 1e-12);
        Assert.Equal(0.11782706666913585, sd, 1e-12);
        for (int i = 0; i < 3; i++)
        {
            (double own, double doubt) = KindPooling.Shrink(ratios[i], 0.04, (mean, sd));
            Assert.Equal(means[i], own, 1e-7);
            Assert.Equal(deviations[i], doubt, 1e-7);
        }
    }

    [Fact]
    public void GammaPoisson_AsthmaMortality_IsTheTextbooks()
    {
        // A. Gelman et al., Bayesian Data Analysis, 3rd ed., section 2.6 (from memory): prior Gamma(3, 5); 3 deaths in 2 (×100,000) person-years give mean 0.86, 30 in 20 give 1.32.
        Assert.Equal(0.86, FailureRates.GammaPoisson(3, 5, 3, 2).Mean, 0.005);
        Assert.Equal(1.32, FailureRates.GammaPoisson(3, 5, 30, 20).Mean, 1e-12);
        Assert.Equal(Math.Sqrt(33) / 25, FailureRates.GammaPoisson(3, 5, 30, 20).Sd, 1e-12);
    }

    [Fact]
    public void Divide_PriorTakenOut_GivesTheReadingsOwnWord()
    {
        // Product of normal densities on the logarithm: 1/0.25² + 1/0.1², weighted mean.
        double precision = (1 / (0.25 * 0.25)) + (1 / (0.1 * 0.1));
        double posterior = Math.Exp(((Math.Log(0.2) / (0.25 * 0.25)) + (Math.Log(0.28) / (0.1 * 0.1))) / precision);

        (double value, double relative) = EnergyEvidence.Divide(0.2, 0.25, posterior, 1 / Math.Sqrt(precision))!.Value;

        Assert.Equal(0.28, value, 1e-9);
        Assert.Equal(0.1, relative, 1e-9);
        Assert.Null(EnergyEvidence.Divide(0.2, 0.25, 0.21, 0.25));
    }

    [Fact]
    public void Pool_SeveralTrips_NarrowsAndNamesThemAndIgnoresARepetition()
    {
        LearntKit one = TripLearning.Pool([Load("a 2027", "camera", 60, 72, 6)]);
        LearntKit two = TripLearning.Pool([Load("a 2027", "camera", 60, 72, 6), Load("b 2028", "camera", 60, 74, 6)]);
        LearntKit again = TripLearning.Pool([Load("a 2027", "camera", 60, 72, 6), Load("a 2027", "camera", 60, 72, 6)]);

        Assert.True(two.Posteriors[0].Doubt < one.Posteriors[0].Doubt);
        Assert.InRange(two.Posteriors[0].Value, 70, 74);
        Assert.Equal(["a 2027", "b 2028"], two.Posteriors[0].Trips);
        Assert.Equal(one, again);
    }

    [Fact]
    public void Pool_NewDevice_BorrowsFromItsKindOnlyWhereSeveralWereSeen()
    {
        var trip = new[] { Load("a", "camera", 60, 78, 3), Load("a", "laptop", 100, 132, 5), Load("a", "drone", 80, 100, 5) };
        LearntKit learnt = TripLearning.Pool(trip);
        KindPosterior kind = learnt.Kinds.Single();
        KindPosterior single = TripLearning.Pool(trip[..1]).Kinds.Single();

        Assert.InRange(kind.Factor, 1.15, 1.32);
        Assert.True(kind.Doubt < single.Doubt);
        Assert.Equal((3, 1), (kind.Items, single.Items));
    }

    private static TripEvidence Load(string trip, string item, double declared, double value, double doubt) =>
        new(trip, KitId.Parse(item), LearntFigure.LoadPerDay, "work", "Wh/d", declared, value, doubt, 15, 20, "days");
}
