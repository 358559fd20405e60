using KitMesh.Domain.Quantities;
using NodaTime;

namespace KitMesh.Models.Battery;

// Problem: how full a pack is, from a cheap current sensor, a voltmeter and a thermometer.
// Trap: coulomb counting drifts with the sensor's offset (50 mA is a tenth of a 12 Ah pack in a day); voltage lies under load and in the cold;
// on LFP's flat middle a voltage tells nothing, and a filter that linearises at a point becomes sure of nonsense.
// Method: Kalman filter on five unknowns: state of charge, sensor offset, sensor gain, capacity factor, and how far this cell lies off the voltage
// table (the same every time, so that a thousand readings on a plateau never average it away). Between readings the charge is counted
// with the learnt offset and gain. At rest the voltage corrects it, with the slope of the table taken across the whole width of the present
// belief (statistical linearisation), so that on a plateau the gain goes to zero and the uncertainty stays. Under load the voltage enters with the error of R(T).
// From volts at rest alone the sensor's gain and the capacity show only as their product; a cell holds hardly more than its rating, so that what seems more than 102 % of it is the sensor's:
// the estimate is projected back onto that limit (D. Simon, "Kalman filtering with state constraints", IET Control Theory & Applications 4 (2010) 1303 to 1318). Too little stays shared out.
// Source: G. Plett, "Extended Kalman filtering for battery management systems", parts 1 to 3, J. Power Sources 134 (2004) 252 to 292. The statistical
// linearisation and the noise figures are our own choice. Check: ChargeEstimatorTests (synthetic truth, never the same model's noise).

/// <summary>Estimates state of charge and learns the sensor's faults and the pack's fade.</summary>
public sealed class ChargeEstimator
{
    private const int N = 5;
    private const int Soc = 0;
    private const int Offset = 1;
    private const int Gain = 2;
    private const int Capacity = 3;
    private const int Table = 4;
    private const double WalkPerHour = 0.002;

    /// <summary>Capacity over rated that no new cell passes. Common practice, no source.</summary>
    private const double MostCapacity = 1.02;

    private const double LimitDoubt = 0.02;

    private readonly PackModel _pack;
    private readonly OcvTable _ocv;
    private readonly double _meterVolts;
    private readonly double[] _x = [0.5, 0, 1, 1, 0];
    private readonly double[,] _p = new double[N, N];

    /// <summary>Starts with what is known before any reading.</summary>
    /// <param name="pack">The pack.</param>
    /// <param name="start">State of charge believed at the start.</param>
    /// <param name="startSigma">Its standard deviation as a fraction; 0.3 knows almost nothing.</param>
    /// <param name="meterError">Standard deviation of the voltmeter at the pack.</param>
    public ChargeEstimator(PackModel pack, StateOfCharge start, double startSigma, Volts meterError)
    {
        ArgumentNullException.ThrowIfNull(pack);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(startSigma);
        _pack = pack;
        _ocv = OcvTable.For(pack.Pack.Chemistry);
        _meterVolts = meterError.Value;
        _x[Soc] = Math.Clamp(start.Value, 0, 1);
        _p[Soc, Soc] = startSigma * startSigma;
        _p[Offset, Offset] = Math.Pow(pack.Pack.Capacity.Value * 0.005, 2);
        _p[Gain, Gain] = 0.03 * 0.03;
        _p[Capacity, Capacity] = 0.05 * 0.05;
        _p[Table, Table] = Math.Pow(_ocv.SpreadVolts.Value * pack.Pack.Series, 2);
    }

    /// <summary>What is believed now.</summary>
    public ChargeBelief Belief => new(
        new StateOfCharge(Math.Clamp(_x[Soc], 0, 1)), Math.Sqrt(_p[Soc, Soc]), new Amperes(_x[Offset]), _x[Gain], _x[Capacity], Math.Sqrt(_p[Capacity, Capacity]),
        new Amperes(Math.Sqrt(_p[Offset, Offset])), GainSigma());

    /// <summary>Counts charge over a span in which the sensor showed a current.</summary>
    /// <param name="shown">What the sensor showed; positive charges.</param>
    /// <param name="span">How long, not negative.</param>
    public void Count(Amperes shown, Duration span)
    {
        double hours = span.TotalHours;
        ArgumentOutOfRangeException.ThrowIfNegative(hours);
        double full = _pack.Pack.Capacity.Value * _x[Capacity];
        double amperes = (shown.Value - _x[Offset]) / _x[Gain];
        double moved = amperes * hours / full;
        _x[Soc] = Math.Clamp(_x[Soc] + moved, -0.02, 1.02);

        // Jacobian of the new charge with respect to the unknowns.
        Span<double> f = [1, -hours / (_x[Gain] * full), -moved / _x[Gain], -moved / _x[Capacity], 0];
        double variance = 0;
        Span<double> row = stackalloc double[N];
        for (int j = 0; j < N; j++)
        {
            for (int k = 0; k < N; k++)
            {
                row[j] += f[k] * _p[k, j];
            }
        }

        for (int k = 0; k < N; k++)
        {
            variance += row[k] * f[k];
        }

        for (int j = 1; j < N; j++)
        {
            _p[Soc, j] = row[j];
            _p[j, Soc] = row[j];
        }

        _p[Soc, Soc] = variance + (WalkPerHour * WalkPerHour * hours);
    }

    /// <summary>Takes in a voltage.</summary>
    /// <param name="terminal">Voltage of the pack.</param>
    /// <param name="shown">Current that the sensor showed with it; positive charges.</param>
    /// <param name="temperature">Cell temperature; null when not measured, which widens the error of the resistance.</param>
    /// <param name="rested">No current for the rest time of the pack.</param>
    public void See(Volts terminal, Amperes shown, Celsius? temperature, bool rested)
    {
        double amperes = rested ? 0 : (shown.Value - _x[Offset]) / _x[Gain];
        double r = _pack.Resistance(temperature ?? new Celsius(0)).Value;
        double ocv = terminal.Value - (amperes * r);
        double resistanceError = Math.Abs(amperes) * r * (temperature is null ? 0.8 : 0.3);
        double settling = rested ? 0 : 0.01 * _pack.Pack.Series;
        double noise = (_meterVolts * _meterVolts) + (resistanceError * resistanceError) + (settling * settling);
        Correct(ocv, noise);
    }

    /// <summary>Takes in a charge that a device or a person states.</summary>
    /// <param name="stated">What is stated.</param>
    /// <param name="sigma">How far such a statement is off, as a standard deviation of the fraction.</param>
    public void Told(StateOfCharge stated, double sigma)
    {
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(sigma);
        Update(1, 0, stated.Value - _x[Soc], sigma * sigma);
    }

    /// <summary>Widens the belief for time in which nothing was seen.</summary>
    /// <param name="fraction">Standard deviation of what may have flowed, as a fraction of the capacity.</param>
    public void Forget(double fraction) => _p[Soc, Soc] = Math.Min(0.09, _p[Soc, Soc] + (fraction * fraction));

    // Slope of the table by regression over the belief's width; what the straight line misses counts as noise.
    private void Correct(double ocvVolts, double noise)
    {
        double sigma = Math.Sqrt(_p[Soc, Soc]);
        const int Points = 31;
        double meanV = 0;
        double cross = 0;
        double weightSum = 0;
        double square = 0;
        for (int i = 0; i < Points; i++)
        {
            double z = -2.5 + (5.0 * i / (Points - 1));
            double weight = Math.Exp(-z * z / 2);
            double v = _pack.Pack.Series * _ocv.Volts(_x[Soc] + (z * sigma));
            weightSum += weight;
            meanV += weight * v;
            cross += weight * z * v;
            square += weight * z * z;
        }

        meanV /= weightSum;
        double slope = sigma > 0 ? cross / square / sigma : 0;
        double misfit = 0;
        for (int i = 0; i < Points; i++)
        {
            double z = -2.5 + (5.0 * i / (Points - 1));
            double rest = (_pack.Pack.Series * _ocv.Volts(_x[Soc] + (z * sigma))) - meanV - (slope * z * sigma);
            misfit += Math.Exp(-z * z / 2) / weightSum * rest * rest;
        }

        Update(slope, 1, ocvVolts - meanV - _x[Table], noise + misfit);
    }

    // One measurement that sees the charge with a slope and the table's error with another.
    private void Update(double slope, double tableSlope, double surprise, double noise)
    {
        Span<double> seen = stackalloc double[N];
        Span<double> gain = stackalloc double[N];
        for (int j = 0; j < N; j++)
        {
            seen[j] = (_p[j, Soc] * slope) + (_p[j, Table] * tableSlope);
        }

        double variance = (slope * seen[Soc]) + (tableSlope * seen[Table]) + noise;
        for (int j = 0; j < N; j++)
        {
            gain[j] = seen[j] / variance;
            _x[j] += gain[j] * surprise;
        }

        for (int j = 0; j < N; j++)
        {
            for (int k = 0; k < N; k++)
            {
                _p[j, k] -= gain[j] * seen[k];
            }
        }

        Limit();
        _x[Soc] = Math.Clamp(_x[Soc], 0, 1);
        _x[Gain] = Math.Clamp(_x[Gain], 0.8, 1.2);
        _x[Capacity] = Math.Clamp(_x[Capacity], 0.3, 1.2);
    }

    // Where the capacity stands at its limit, what is left to doubt in the gain is what a known capacity would leave, and the limit's own doubt.
    private double GainSigma()
    {
        double marginal = _p[Gain, Gain];
        if (_x[Capacity] < MostCapacity - 1e-3 || _p[Capacity, Capacity] <= 0)
        {
            return Math.Sqrt(marginal);
        }

        double left = marginal - (_p[Gain, Capacity] * _p[Gain, Capacity] / _p[Capacity, Capacity]);
        return Math.Sqrt(Math.Min(marginal, Math.Max(0, left) + (LimitDoubt * LimitDoubt)));
    }

    // Projection of the estimate onto the greatest capacity, by the present covariance.
    private void Limit()
    {
        double over = _x[Capacity] - MostCapacity;
        if (over <= 0 || _p[Capacity, Capacity] <= 0)
        {
            return;
        }

        for (int j = 0; j < N; j++)
        {
            _x[j] -= _p[j, Capacity] / _p[Capacity, Capacity] * over;
        }
    }
}
