using System.Runtime.Intrinsics;
using MathNet.Numerics;

namespace KitMesh.Outlook.Energy;

// Problem: a day's clear-sky index has whatever distribution the place has: one hump in a dry range, two where storms come through.
// Trap: a curve with one hump that is widened until the storms fit puts most of its days where there are few, and is still surprised by every storm.
// Method: the index as a table over a standard normal position z (quantiles), straight between points; the same table serves the paths (index from position),
// the learner and typed forecasts (position from index). Positions beyond four standard deviations are held there.

/// <summary>A day's clear-sky index as a function of a standard normal position.</summary>
internal sealed class SkyCurve
{
    /// <summary>Points of the table.</summary>
    internal const int Points = 129;

    /// <summary>Positions go from minus to plus this.</summary>
    internal const double Reach = 4;

    /// <summary>Points for each unit of position.</summary>
    internal const double PerUnit = (Points - 1) / (2 * Reach);

    /// <summary>Least index: under the thickest cloud some light is left.</summary>
    internal const double Least = 0.03;

    /// <summary>Greatest index of a whole day.</summary>
    internal const double Greatest = 1.04;

    private readonly double[] _index;

    private SkyCurve(double[] index) => _index = index;

    /// <summary>The table, least position first.</summary>
    internal ReadOnlySpan<double> Table => _index;

    /// <summary>From a distribution by its index at a position, which must not fall.</summary>
    internal static SkyCurve Of(Func<double, double> indexAt)
    {
        var index = new double[Points];
        double before = Least;
        for (int i = 0; i < Points; i++)
        {
            before = Math.Max(before, Math.Clamp(indexAt(PositionOf(i)), Least, Greatest));
            index[i] = before;
        }

        return new SkyCurve(index);
    }

    /// <summary>From a distribution function on an even grid of indices that starts at 0.</summary>
    /// <param name="below">Share of days below each grid point; must not fall.</param>
    /// <param name="step">Distance of grid points.</param>
    internal static SkyCurve OfShares(double[] below, double step)
    {
        int at = 0;
        return Of(z =>
        {
            double share = Below(z);
            while (at < below.Length - 2 && below[at + 1] < share)
            {
                at++;
            }

            double rise = below[at + 1] - below[at];
            double part = rise > 0 ? Math.Clamp((share - below[at]) / rise, 0, 1) : 0;
            return (at + part) * step;
        });
    }

    internal static double PositionOf(int point) => (point / PerUnit) - Reach;

    /// <summary>Share of a standard normal below a position.</summary>
    internal static double Below(double z) => 0.5 * SpecialFunctions.Erfc(-z / Math.Sqrt(2));

    /// <summary>Position of a share of a standard normal.</summary>
    internal static double PositionOfShare(double share) => -Math.Sqrt(2) * SpecialFunctions.ErfcInv(2 * Math.Clamp(share, 1e-6, 1 - 1e-6));

    /// <summary>The index at a position.</summary>
    internal double At(double z)
    {
        double at = (Math.Min(Reach, Math.Max(-Reach, z)) + Reach) * PerUnit;
        int low = Math.Min(Points - 2, (int)at);
        return _index[low] + ((at - low) * (_index[low + 1] - _index[low]));
    }

    /// <summary>The indices of eight paths.</summary>
    internal Vector512<double> At(Vector512<double> z)
    {
        Span<double> lanes = stackalloc double[PathEngine.Lanes];
        z.CopyTo(lanes);
        for (int i = 0; i < lanes.Length; i++)
        {
            lanes[i] = At(lanes[i]);
        }

        return Vector512.Create<double>(lanes);
    }

    /// <summary>The position of an index, held within three standard deviations.</summary>
    internal double Position(double index)
    {
        int low = 0;
        int high = Points - 1;
        while (high - low > 1)
        {
            int middle = (low + high) / 2;
            (low, high) = _index[middle] <= index ? (middle, high) : (low, middle);
        }

        double rise = _index[high] - _index[low];
        double part = rise > 0 ? Math.Clamp((index - _index[low]) / rise, 0, 1) : 0.5;
        return Math.Clamp(PositionOf(low) + (part / PerUnit), -3, 3);
    }

    /// <summary>Mean and standard deviation of the index.</summary>
    internal (double Mean, double Sd) Moments()
    {
        double sum = 0;
        double square = 0;
        double weights = 0;
        for (int i = 0; i < Points; i++)
        {
            double z = PositionOf(i);
            double weight = Math.Exp(-z * z / 2);
            sum += weight * _index[i];
            square += weight * _index[i] * _index[i];
            weights += weight;
        }

        double mean = sum / weights;
        return (mean, Math.Sqrt(Math.Max(0, (square / weights) - (mean * mean))));
    }
}
