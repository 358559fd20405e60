using System.Globalization;
using KitMesh.Outlook.Learning;
using KitMesh.Tests.Published;

namespace KitMesh.Tests.Outlook.Learning;

/// <summary>scoring.csv: CRPS values published with properscoring and scoringrules, closed forms of Gneiting et al. 2005, Gneiting and Raftery 2007, Brier 1950.</summary>
public sealed class ScoresTests
{
    private static readonly PublishedTable Table = PublishedTable.Load("scoring.csv");

    public static TheoryData<string> Ids =>
        [.. Table.Rows.Where(row => row["score"] is "crps_ensemble" or "crps_ensemble_fair" or "crps_gaussian" or "pinball" or "interval_score" or "brier").Select(row => row["id"])];

    [Theory]
    [MemberData(nameof(Ids))]
    public void Score_PublishedRow_Agrees(string id)
    {
        PublishedRow row = Table.Rows.Single(row => row["id"] == id);
        double tolerance = row["score"] == "crps_gaussian" ? 2e-3 * Math.Max(1, row.Number("sigma", 1)) : 1e-6;

        Assert.Equal(row.Expected, Evaluate(row), tolerance);
    }

    private static double Evaluate(PublishedRow row) => row["score"] switch
    {
        "crps_ensemble" => Scores.Crps(Members(row), row.Number("obs")),
        "crps_ensemble_fair" => Scores.CrpsFair(Members(row), row.Number("obs")),
        "crps_gaussian" => Scores.Crps(Normal(row.Number("mu"), row.Number("sigma")), row.Number("obs")),
        "pinball" => Scores.Pinball(row.Number("obs"), row.Number("quantile_forecast"), row.Number("tau")),
        "interval_score" => Scores.Interval(row.Number("obs"), row.Number("lower"), row.Number("upper"), row.Number("alpha")),
        _ => Scores.Brier(row.Number("p"), row["outcome"] == "1"),
    };

    private static double[] Members(PublishedRow row) =>
        [.. row["members"].Split('|').Select(member => double.Parse(member, CultureInfo.InvariantCulture))];

    // The closed form of a normal against an ensemble of its own quantiles: checks the ensemble code where the truth is known.
    private static double[] Normal(double mean, double sd) =>
        [.. Enumerable.Range(0, 4_000).Select(i => mean + (sd * MathNet.Numerics.Distributions.Normal.InvCDF(0, 1, (i + 0.5) / 4_000)))];
}
