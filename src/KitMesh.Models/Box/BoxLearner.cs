using KitMesh.Domain.Quantities;
using NodaTime;

namespace KitMesh.Models.Box;

// Problem: C and UA from ordinary readings, without a test that nobody has time for.
// Trap: while the heater is off only the ratio UA/C shows (the box cools at the same speed whatever its size), so a plain fit runs away along a line.
// Method: Bayesian linear regression of the temperature step on heater energy and on temperature difference, with the declared figures as prior:
// ΔT = (1/C) ∫P dt - (UA/C) ∫(T - Ta) dt. What the readings do not tell stays as wide as the prior. Errors of the thermometer enter as noise.
// Source: conjugate normal regression, A. Gelman et al., "Bayesian Data Analysis", 3rd ed., chapter 14. Check: BoxLearnerTests.

/// <summary>Learns a box's C and UA.</summary>
public sealed class BoxLearner
{
    /// <summary>Intervals longer than this are not used: too much happens unseen.</summary>
    private const double MaxHours = 6;

    private readonly double _scaleInverse;
    private readonly double _scaleRate;
    private readonly double _noiseKelvin;

    // Precision matrix and its product with the mean, in units of the prior means, so that both unknowns are about 1.
    private double _a11;
    private double _a12;
    private double _a22;
    private double _b1;
    private double _b2;
    private int _count;

    /// <summary>Starts from declared figures.</summary>
    /// <param name="declared">C and UA as the trip file gives them.</param>
    /// <param name="priorSigma">Doubt in each as a fraction; 0.5 when somebody estimated them.</param>
    /// <param name="thermometerError">Standard deviation of one temperature.</param>
    public BoxLearner(BoxModel declared, double priorSigma = 0.5, Kelvins? thermometerError = null)
    {
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(declared.Capacity.Value);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(declared.Loss.Value);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(priorSigma);
        _scaleInverse = 1 / declared.Capacity.Value;
        _scaleRate = declared.Loss.Value / declared.Capacity.Value;
        _noiseKelvin = Math.Sqrt(2) * (thermometerError?.Value ?? 0.3);
        double precision = 1 / (priorSigma * priorSigma);
        _a11 = _a22 = precision;
        _b1 = _b2 = precision;
    }

    /// <summary>What is believed now.</summary>
    public BoxBelief Belief
    {
        get
        {
            double determinant = (_a11 * _a22) - (_a12 * _a12);
            double inverse = Math.Max(1e-3, ((_a22 * _b1) - (_a12 * _b2)) / determinant);
            double rate = Math.Max(1e-3, ((_a11 * _b2) - (_a12 * _b1)) / determinant);
            double v11 = _a22 / determinant;
            double v22 = _a11 / determinant;
            double v12 = -_a12 / determinant;
            double capacitySigma = Math.Sqrt(v11) / inverse;

            // UA = rate / inverse: relative variances add, less twice the covariance.
            double loss = (v22 / (rate * rate)) + (v11 / (inverse * inverse)) - (2 * v12 / (rate * inverse));
            double c = 1 / (inverse * _scaleInverse);
            return new BoxBelief(
                new BoxModel(new(c), new(rate * _scaleRate * c)), capacitySigma, Math.Sqrt(Math.Max(0, loss)), _count);
        }
    }

    /// <summary>Takes in one interval between two readings.</summary>
    /// <param name="before">Temperature in the box at the start.</param>
    /// <param name="after">Temperature in the box at the end.</param>
    /// <param name="outside">Mean temperature outside.</param>
    /// <param name="heat">Heat put in meanwhile (heater and what the pack itself loses).</param>
    /// <param name="span">How long; intervals of no length or beyond six hours are passed over.</param>
    public void See(Celsius before, Celsius after, Celsius outside, WattHours heat, Duration span)
    {
        double hours = span.TotalHours;
        if (!(hours > 0 && hours <= MaxHours) || !before.IsPhysical || !after.IsPhysical || !outside.IsPhysical)
        {
            return;
        }

        double x1 = heat.Value * 3600 * _scaleInverse;
        double x2 = -(((before.Value + after.Value) / 2) - outside.Value) * span.TotalSeconds * _scaleRate;
        double y = after.Value - before.Value;

        // What drafts, lids and sun on the box do grows with time: 0.2 K per hour, own choice.
        double variance = (_noiseKelvin * _noiseKelvin) + (0.04 * hours * hours);
        _a11 += x1 * x1 / variance;
        _a12 += x1 * x2 / variance;
        _a22 += x2 * x2 / variance;
        _b1 += x1 * y / variance;
        _b2 += x2 * y / variance;
        _count++;
    }
}
