namespace KitMesh.Outlook.Footage;

/// <summary>A share of all footage and what its copy rule asks for.</summary>
/// <param name="Share">Of the volume, from 0 to 1; all demands together make 1.</param>
/// <param name="Copies">Copies, at least 1.</param>
/// <param name="Cases">Different cases, at most as many as copies.</param>
internal readonly record struct CopyDemand(double Share, int Copies, int Cases)
{
    /// <summary>The most different rules that are told apart; the work doubles twice with each.</summary>
    public const int Most = 6;

    /// <summary>What all sources ask for together, by what they are expected to shoot.</summary>
    /// <param name="rates">What each source shoots.</param>
    /// <param name="ruleOf">Copies and cases of a source's rule.</param>
    public static IReadOnlyList<CopyDemand> Of(IReadOnlyList<LearntRate> rates, Func<LearntRate, (int Copies, int Cases)> ruleOf)
    {
        double all = rates.Sum(rate => rate.Rate.GigabytesPerDay);
        if (all <= 0)
        {
            // Nothing is shot: the rules still say what room means, each source alike.
            rates = [.. rates.Select(rate => rate with { Rate = rate.Rate with { GigabytesPerDay = 1 } })];
            all = rates.Count;
        }

        CopyDemand[] demands = [.. rates
            .GroupBy(ruleOf)
            .Select(same => new CopyDemand(same.Sum(rate => rate.Rate.GigabytesPerDay) / all, same.Key.Copies, Math.Min(same.Key.Cases, same.Key.Copies)))
            .Where(demand => demand.Share > 0)
            .OrderByDescending(demand => demand.Copies)
            .ThenByDescending(demand => demand.Cases)];

        // Past the most, the mildest ask for what the strictest of them asks: room is never overstated.
        return demands.Length <= Most
            ? demands
            : [.. demands[..(Most - 1)], demands[Most - 1] with { Share = demands[(Most - 1)..].Sum(demand => demand.Share) }];
    }

    /// <summary>The same with at most so many copies.</summary>
    public CopyDemand AtMost(int copies) => this with { Copies = Math.Min(Copies, copies), Cases = Math.Min(Cases, Math.Min(Copies, copies)) };
}
