namespace KitMesh.Domain.Kit;

/// <summary>The names of the figures behind the odds of loss.</summary>
public static class LossFigureNames
{
    /// <summary>Every name, in the order in which answers list their sources.</summary>
    public static readonly ValueList<string> All =
    [
        "annualFailureRate", "annualFactor", "failingFactor", "commonShare", "bitErrorRate",
        "rotPerDriveYear", "unprovenBad", "carrierChance", "caseFactor", "cardAnnualFailureRate",
    ];

    /// <summary>Whether a figure is a chance or a share, and so below 1.</summary>
    /// <param name="name">The figure.</param>
    public static bool IsChance(string name) => name is not ("annualFactor" or "failingFactor" or "rotPerDriveYear" or "caseFactor");
}
