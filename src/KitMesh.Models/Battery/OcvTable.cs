using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;

namespace KitMesh.Models.Battery;

// Problem: rested voltage to state of charge and back, per chemistry.
// Trap: LFP spans 12 mV between 40 and 65 %: a voltage there tells nothing, and any single number would be a lie.
// Method: monotone tables, linear between points; the inverse returns the whole interval that a voltage with its error allows.

/// <summary>Open-circuit voltage of one cell against its state of charge.</summary>
public sealed class OcvTable
{
    private readonly double[] _charge;
    private readonly double[] _volts;

    private OcvTable(double[] charge, double[] volts, double spreadVolts, string source)
    {
        _charge = charge;
        _volts = volts;
        SpreadVolts = new Volts(spreadVolts);
        Source = source;
    }

    /// <summary>Standard deviation of the table against a cell of the same chemistry and another make.</summary>
    public Volts SpreadVolts { get; }

    /// <summary>Where the table comes from.</summary>
    public string Source { get; }

    /// <summary>Voltage of an empty cell at rest.</summary>
    public Volts Empty => new(_volts[0]);

    /// <summary>Voltage of a full cell at rest.</summary>
    public Volts Full => new(_volts[^1]);

    /// <summary>The table of a chemistry; unknown gets the NMC one with a wide spread.</summary>
    /// <param name="chemistry">The chemistry.</param>
    public static OcvTable For(Chemistry chemistry) => chemistry switch
    {
        Chemistry.Lfp => Lfp,
        Chemistry.Lco => Lco,
        Chemistry.NiMh => NiMh,
        Chemistry.LeadAcid => LeadAcid,
        Chemistry.Nmc => Nmc,
        _ => Unknown,
    };

    /// <summary>Open-circuit voltage.</summary>
    /// <param name="charge">State of charge; held between 0 and 1.</param>
    public Volts At(StateOfCharge charge) => new(Volts(charge.Value));

    /// <summary>The states of charge that a rested cell voltage allows, with an error of two standard deviations on either side.</summary>
    /// <param name="cell">Rested voltage of one cell.</param>
    /// <param name="meterError">Standard deviation of the meter for one cell.</param>
    public (StateOfCharge Low, StateOfCharge Best, StateOfCharge High) ChargeFrom(Volts cell, Volts meterError)
    {
        double error = 2 * Math.Sqrt((SpreadVolts.Value * SpreadVolts.Value) + (meterError.Value * meterError.Value));
        return (new(Charge(cell.Value - error)), new(Charge(cell.Value)), new(Charge(cell.Value + error)));
    }

    internal double Volts(double charge)
    {
        double s = Math.Clamp(charge, 0, 1);
        int i = Segment(_charge, s);
        return _volts[i] + ((s - _charge[i]) / (_charge[i + 1] - _charge[i]) * (_volts[i + 1] - _volts[i]));
    }

    internal double Charge(double volts)
    {
        if (volts <= _volts[0])
        {
            return 0;
        }

        if (volts >= _volts[^1])
        {
            return 1;
        }

        int i = Segment(_volts, volts);
        return _charge[i] + ((volts - _volts[i]) / (_volts[i + 1] - _volts[i]) * (_charge[i + 1] - _charge[i]));
    }

    /// <summary>Mean voltage between two states of charge: the energy per ampere-hour.</summary>
    internal double MeanVolts(double low, double high)
    {
        const int Parts = 64;
        double sum = 0;
        for (int i = 0; i < Parts; i++)
        {
            sum += Volts(low + ((high - low) * (i + 0.5) / Parts));
        }

        return sum / Parts;
    }

    private static int Segment(double[] x, double at)
    {
        int low = 0;
        int high = x.Length - 1;
        while (high - low > 1)
        {
            int middle = (low + high) / 2;
            if (x[middle] <= at)
            {
                low = middle;
            }
            else
            {
                high = middle;
            }
        }

        return low;
    }

    private static double[] Grid(int count) => [.. Enumerable.Range(0, count).Select(i => i / (double)(count - 1))];

    // Slow charge and discharge averaged (C/32, room temperature), 5 % steps, MIT-licensed measurements of an LG INR21700-M50T.
    private static readonly double[] NmcVolts =
    [
        2.5199, 3.1617, 3.3041, 3.4014, 3.4754, 3.5205, 3.5763, 3.6141, 3.6443, 3.6761, 3.7167,
        3.7652, 3.8174, 3.8748, 3.9201, 3.9650, 4.0184, 4.0672, 4.0919, 4.1158, 4.1943,
    ];

    // The same of a LithiumWerks APR18650M1B.
    private static readonly double[] LfpVolts =
    [
        2.0102, 3.0721, 3.2029, 3.2156, 3.2413, 3.2618, 3.2778, 3.2883, 3.2948, 3.2974, 3.2991,
        3.3010, 3.3032, 3.3070, 3.3163, 3.3329, 3.3371, 3.3393, 3.3411, 3.3429, 3.5981,
    ];

    private static readonly OcvTable Nmc = new(Grid(21), NmcVolts, 0.010, "LG INR21700-M50T at C/32, MIT-licensed data");

    // No open LCO table was found; NMC stands in with three times the spread.
    private static readonly OcvTable Lco = new(Grid(21), NmcVolts, 0.030, "NMC table as a stand-in for LCO, spread tripled");

    private static readonly OcvTable Unknown = new(Grid(21), NmcVolts, 0.200, "chemistry not told: NMC table with a wide spread");

    private static readonly OcvTable Lfp = new(Grid(21), LfpVolts, 0.005, "LithiumWerks APR18650M1B at C/32, MIT-licensed data; hysteresis not in it");

    // Specific gravity + 0.845 V per cell (common practice); gravities of 1.12, 1.16, 1.19, 1.225 and 1.265 from battery makers' pages.
    private static readonly OcvTable LeadAcid = new(Grid(5), [1.965, 2.005, 2.035, 2.070, 2.110], 0.010, "specific gravity + 0.845 V, common practice");

    // From memory, not a gate: nickel cells hold about 1.25 V over most of their charge.
    private static readonly OcvTable NiMh = new(Grid(6), [1.05, 1.22, 1.25, 1.27, 1.30, 1.40], 0.030, "from memory");
}
