using KitMesh.Outlook.Learning;

namespace KitMesh.Cli.Commands.Bench;

/// <summary>Scores of one way to forecast, at one lead.</summary>
internal sealed class ForecastTally
{
    private readonly int[] _pit = new int[10];
    private double _crps;
    private int _in50;
    private int _in80;
    private int _in95;

    public int Count { get; private set; }

    public double Crps => Count == 0 ? double.NaN : _crps / Count;

    public void Add(double[] members, double observed)
    {
        double[] sorted = [.. members.Order()];
        Count++;
        _crps += sorted.Length > 1 ? Scores.CrpsFair(sorted, observed) : Scores.Crps(sorted, observed);
        double pit = Scores.Pit(sorted, observed);
        _pit[Math.Min(9, (int)(pit * 10))]++;
        _in50 += Inside(sorted, observed, 0.50) ? 1 : 0;
        _in80 += Inside(sorted, observed, 0.80) ? 1 : 0;
        _in95 += Inside(sorted, observed, 0.95) ? 1 : 0;
    }

    public object Shape(double persistence, double climatology) => new
    {
        count = Count,
        crps = Crps,
        coverage50 = _in50 / (double)Count,
        coverage80 = _in80 / (double)Count,
        coverage95 = _in95 / (double)Count,
        pit = _pit,
        skillAgainstPersistence = 1 - (Crps / persistence),
        skillAgainstClimatology = double.IsNaN(climatology) ? (double?)null : 1 - (Crps / climatology),
    };

    private static bool Inside(double[] sorted, double observed, double share)
    {
        double Quantile(double level)
        {
            double at = level * (sorted.Length - 1);
            int low = (int)at;
            return low + 1 < sorted.Length ? sorted[low] + ((at - low) * (sorted[low + 1] - sorted[low])) : sorted[low];
        }

        return observed >= Quantile((1 - share) / 2) && observed <= Quantile((1 + share) / 2);
    }
}
