namespace KitMesh.Cli.Commands.Bench;

/// <summary>CRPS of one quantity of one trip, planned before and after learning, and by somebody who knew the kit exactly.</summary>
/// <param name="Quantity">What was scored.</param>
/// <param name="Before">Planned from the trip file.</param>
/// <param name="After">Planned from what the trip before taught.</param>
/// <param name="Exact">Planned from the figures that the kit itself has.</param>
internal sealed record PlanScore(string Quantity, double Before, double After, double Exact)
{
    /// <summary>All trips' scores of each quantity; kits that share a trip are one case, so that the interval of the difference counts kits and not banks.</summary>
    public static IEnumerable<object> Sum(IReadOnlyList<PlanScore[]> kits) =>
        kits.SelectMany(kit => kit.Select(score => score.Quantity)).Distinct().Select(quantity =>
        {
            (double Before, double After, double Exact)[] pairs =
            [
                .. kits.Select(kit => kit.Where(score => score.Quantity == quantity).ToArray())
                    .Select(own => (own.Average(one => one.Before), own.Average(one => one.After), own.Average(one => one.Exact))),
            ];
            double[] gains = [.. pairs.Select(pair => pair.Before - pair.After)];
            double gain = gains.Average();
            double half = gains.Length < 2 ? double.NaN : 1.96 * Math.Sqrt(gains.Sum(one => (one - gain) * (one - gain)) / (gains.Length - 1) / gains.Length);
            return new
            {
                quantity,
                pairs = pairs.Length,
                crpsBefore = pairs.Average(pair => pair.Before),
                crpsAfter = pairs.Average(pair => pair.After),
                crpsExact = pairs.Average(pair => pair.Exact),
                gain,
                gainLow = gain - half,
                gainHigh = gain + half,
                pairsBetter = gains.Count(one => one > 0),
            };
        });
}
