using KitMesh.Outlook.Energy;

namespace KitMesh.Outlook.Learning;

/// <summary>Forecasts of the sky alone, for scoring one way to make them against another.</summary>
public static class SkyTrial
{
    private const int Members = 200;

    /// <summary>The clear-sky index of a day to come, as the outlook learns it and as the published matrices have it.</summary>
    /// <param name="declaredShare">Clear-sky share of the place as declared, from 0 to 1.</param>
    /// <param name="seen">Indices of the days so far, oldest first, at least one; the last is yesterday's.</param>
    /// <param name="lead">Days ahead: 1 is today.</param>
    public static (double[] Learnt, double[] Markov) Ahead(double declaredShare, IReadOnlyList<double> seen, int lead)
    {
        ArgumentNullException.ThrowIfNull(seen);
        ArgumentOutOfRangeException.ThrowIfZero(seen.Count, nameof(seen));
        SkyShape declared = SkyShape.Fit(declaredShare, SkyShape.TypicalSd(declaredShare));
        SkyBelief belief = SkyLearner.Learn(declared, [.. seen.Select((index, i) => new DayYield(index, false, seen.Count - i))]);
        double carried = Math.Pow(belief.Persistence, lead);
        double middle = carried * (belief.LastZ ?? 0);
        double sd = Math.Sqrt(1 - (carried * carried) + (belief.Doubt * belief.Doubt));
        double[] learnt =
        [
            .. Enumerable.Range(0, Members).Select(i => belief.Curve.At(middle + (sd * SkyCurve.PositionOfShare((i + 0.5) / Members))) * belief.PanelFactor),
        ];
        double mean = ((SkyLearner.PriorDays * declaredShare) + seen.Sum()) / (SkyLearner.PriorDays + seen.Count);
        return (learnt, DailyMarkov.For(mean).Ahead(seen[^1], lead, Members));
    }
}
