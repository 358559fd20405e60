using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;

namespace KitMesh.Models.Battery;

// Problem: internal resistance in the cold decides how much energy can be had and how packs share a load.
// Trap: one Arrhenius energy does not fit: 15 kJ/mol warm, 38 kJ/mol cold on the same cell.
// Method: interpolate ln R over 1/T between measured points; past the ends keep the last slope.
// Source of the points: a LiFePO4 cell of about 2.07 Ah, data exported from G. Plett's ESC toolbox (about 1 s resistance, SoC 0.3 to 0.9);
// for other lithium cells the ratio 2.84 at 0 °C of the ADVISOR file ESS_LI7, colder than that the LFP slope. One cell each: wide error bars.
// Check: ResistanceCurveTests (battery-lfp-resistance.csv, battery-checks.csv rows arrhenius_R).

/// <summary>Internal resistance against temperature, as a ratio to 25 °C.</summary>
public sealed class ResistanceCurve
{
    private const double GasConstant = 8.314462618;

    private readonly double[] _inverseKelvin;
    private readonly double[] _logRatio;

    private ResistanceCurve(params ReadOnlySpan<(double Celsius, double Ratio)> points)
    {
        _inverseKelvin = new double[points.Length];
        _logRatio = new double[points.Length];
        for (int i = 0; i < points.Length; i++)
        {
            _inverseKelvin[i] = 1 / (points[i].Celsius + 273.15);
            _logRatio[i] = Math.Log(points[i].Ratio);
        }
    }

    /// <summary>The curve of a chemistry. Lead-acid and nickel have no measured table here and use the mildest lithium slope.</summary>
    /// <param name="chemistry">The chemistry.</param>
    public static ResistanceCurve For(Chemistry chemistry) => chemistry switch
    {
        Chemistry.Lfp => Lfp,
        Chemistry.LeadAcid or Chemistry.NiMh => Mild,
        _ => OtherLithium,
    };

    /// <summary>Resistance over the resistance at 25 °C.</summary>
    /// <param name="temperature">Cell temperature.</param>
    public double Ratio(Celsius temperature)
    {
        double x = 1 / Math.Max(temperature.Kelvin, 150);
        int last = _inverseKelvin.Length - 1;
        int i = 0;
        while (i < last - 1 && x < _inverseKelvin[i + 1])
        {
            i++;
        }

        double f = (x - _inverseKelvin[i]) / (_inverseKelvin[i + 1] - _inverseKelvin[i]);
        return Math.Exp(_logRatio[i] + (f * (_logRatio[i + 1] - _logRatio[i])));
    }

    /// <summary>Resistance by one Arrhenius energy, for comparison with published activation energies.</summary>
    /// <param name="at25">Resistance at 25 °C.</param>
    /// <param name="joulesPerMole">Activation energy.</param>
    /// <param name="temperature">Temperature.</param>
    /// <remarks>R = R25 exp(Ea/Rg (1/T - 1/298.15)). Check: rows arrhenius_R.</remarks>
    public static Ohms Arrhenius(Ohms at25, double joulesPerMole, Celsius temperature) =>
        new(at25.Value * Math.Exp(joulesPerMole / GasConstant * ((1 / temperature.Kelvin) - (1 / 298.15))));

    private static readonly ResistanceCurve Lfp =
        new((-25, 13.0), (-15, 5.91), (-5, 2.93), (5, 1.77), (15, 1.25), (25, 1.00), (35, 0.87));

    private static readonly ResistanceCurve OtherLithium = new((-25, 11.8), (-15, 6.3), (0, 2.84), (25, 1.00), (41, 0.90));

    private static readonly ResistanceCurve Mild = new((-20, 2.2), (0, 1.5), (25, 1.00), (40, 0.9));
}
