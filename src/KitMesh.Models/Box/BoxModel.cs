using KitMesh.Domain.Quantities;
using NodaTime;
using static System.Math;

namespace KitMesh.Models.Box;

// Problem: when the cells are warm enough, what that costs, and whether the heater can get there at all.
// Trap: a heater that cannot reach the limit runs all night for nothing; cores lag behind the box and heater pads make hot spots.
// Method: one lump, C dT/dt = P - UA (T - Ta), in closed form. Valid while the Biot number h Lc/k is under about 0.1 with k of the cell stack's
// poorer direction; otherwise the core is later than this says.
// Source: F. Incropera, D. DeWitt, "Fundamentals of Heat and Mass Transfer", chapter 5 (lumped capacitance).
// Check: BoxModelTests (thermal-checks.csv, finite warm-ups confirmed by an ODE solver; textbook examples).

/// <summary>An insulated box with its content as one lump.</summary>
/// <param name="Capacity">C: heat that warms the content by a kelvin, above 0.</param>
/// <param name="Loss">UA: heat that leaves per kelvin, from 0.</param>
public readonly record struct BoxModel(JoulesPerKelvin Capacity, WattsPerKelvin Loss)
{
    /// <summary>Heat that a litre of water gives while it cools by a kelvin, in Wh.</summary>
    /// <remarks>4.186 kJ/(kg K) × 0.965 kg/l at 90 °C / 3.6: 1 l from 90 to 10 °C gives about 93 Wh with 1 kg; bottles are filled by weight here.</remarks>
    public const double WattHoursPerLitreKelvin = 4.186 / 3.6;

    /// <summary>Time constant in seconds; infinite without loss.</summary>
    public double TauSeconds => Capacity.Value / Loss.Value;

    /// <summary>Time, heat and limits of a warm-up.</summary>
    /// <param name="heater">Power put in, from 0.</param>
    /// <param name="outside">Temperature outside.</param>
    /// <param name="from">Temperature now.</param>
    /// <param name="to">Temperature to reach.</param>
    /// <remarks>t = τ ln((Te - T0)/(Te - T1)), Te = Ta + P/UA; never when T1 ≥ Te. Already there costs nothing.</remarks>
    public WarmUp WarmUp(Watts heater, Celsius outside, Celsius from, Celsius to)
    {
        double ua = Loss.Value;
        double equilibrium = ua > 0 ? outside.Value + (heater.Value / ua) : heater.Value > 0 ? double.PositiveInfinity : from.Value;
        double tau = ua > 0 ? TauSeconds : double.PositiveInfinity;
        if (to <= from)
        {
            return new WarmUp(true, tau, new(equilibrium), Duration.Zero, new(0), new(0), new(0));
        }

        if (to.Value >= equilibrium)
        {
            return new WarmUp(false, tau, new(equilibrium), null, null, null, null);
        }

        double seconds = ua > 0
            ? tau * Log((equilibrium - from.Value) / (equilibrium - to.Value))
            : Capacity.Value * (to.Value - from.Value) / heater.Value;
        double energy = heater.Value * seconds / 3600;
        double stored = Capacity.Value * (to.Value - from.Value) / 3600;
        return new WarmUp(true, tau, new(equilibrium), Duration.FromSeconds(seconds), new(energy), new(stored), new(energy - stored));
    }

    /// <summary>Time until it has cooled to a temperature; null when it never does.</summary>
    /// <param name="outside">Temperature outside.</param>
    /// <param name="from">Temperature now.</param>
    /// <param name="to">Temperature to fall to.</param>
    public Duration? CoolDown(Celsius outside, Celsius from, Celsius to) =>
        to >= from ? Duration.Zero
        : to <= outside || Loss.Value <= 0 ? null
        : Duration.FromSeconds(TauSeconds * Log((from.Value - outside.Value) / (to.Value - outside.Value)));

    /// <summary>The cycle of a thermostat.</summary>
    /// <param name="heater">Power of the heater.</param>
    /// <param name="outside">Temperature outside.</param>
    /// <param name="low">The heater starts below this.</param>
    /// <param name="high">The heater stops above this.</param>
    /// <remarks>t_on = τ ln((Te - TL)/(Te - TH)); t_off = τ ln((TH - Ta)/(TL - Ta)); duty about UA (Tmid - Ta)/P.</remarks>
    public Hold Hold(Watts heater, Celsius outside, Celsius low, Celsius high)
    {
        if (outside >= low)
        {
            return new Hold(Duration.Zero, null, 0, new(0));
        }

        double equilibrium = Loss.Value > 0 ? outside.Value + (heater.Value / Loss.Value) : double.PositiveInfinity;
        if (equilibrium <= high.Value)
        {
            return new Hold(null, Duration.Zero, 1, heater);
        }

        if (Loss.Value <= 0)
        {
            return new Hold(Duration.Zero, null, 0, new(0));
        }

        double on = TauSeconds * Log((equilibrium - low.Value) / (equilibrium - high.Value));
        double off = TauSeconds * Log((high.Value - outside.Value) / (low.Value - outside.Value));
        double duty = on / (on + off);
        return new Hold(Duration.FromSeconds(on), Duration.FromSeconds(off), duty, new(heater.Value * duty));
    }

    /// <summary>Temperature after a while under constant power.</summary>
    /// <param name="heater">Power put in.</param>
    /// <param name="outside">Temperature outside.</param>
    /// <param name="from">Temperature now.</param>
    /// <param name="span">How long.</param>
    public Celsius After(Watts heater, Celsius outside, Celsius from, Duration span)
    {
        if (Loss.Value <= 0)
        {
            return new(from.Value + (heater.Value * span.TotalSeconds / Capacity.Value));
        }

        double equilibrium = outside.Value + (heater.Value / Loss.Value);
        return new(equilibrium + ((from.Value - equilibrium) * Exp(-span.TotalSeconds / TauSeconds)));
    }

    /// <summary>Litres of water at 90 °C that bring a heat while they cool to 10 °C.</summary>
    /// <param name="heat">Heat wanted.</param>
    public static double BottleLitres(WattHours heat) => heat.Value / (WattHoursPerLitreKelvin * 80);
}
