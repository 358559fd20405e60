using KitMesh.Domain.Quantities;
using NodaTime;

namespace KitMesh.Models.Battery;

/// <summary>A constant-current, constant-voltage charge.</summary>
/// <param name="ConstantCurrent">Time until the voltage limit is met.</param>
/// <param name="ConstantVoltage">Time from there until the current has fallen to the cut-off.</param>
/// <param name="AfterCurrent">State of charge at the change-over.</param>
/// <param name="AtEnd">State of charge at the end.</param>
public readonly record struct ChargeTime(Duration ConstantCurrent, Duration ConstantVoltage, StateOfCharge AfterCurrent, StateOfCharge AtEnd)
{
    /// <summary>Both parts.</summary>
    public Duration Total => ConstantCurrent + ConstantVoltage;

    /// <summary>Charge time of a cell whose open-circuit voltage is a straight line, in closed form.</summary>
    /// <param name="capacity">Rated charge.</param>
    /// <param name="emptyVolts">Open-circuit voltage at 0.</param>
    /// <param name="slope">Rise of it from 0 to 1.</param>
    /// <param name="resistance">Internal resistance.</param>
    /// <param name="current">Charge current.</param>
    /// <param name="limit">Voltage limit.</param>
    /// <param name="cutOff">Current at which the charger stops.</param>
    /// <param name="from">State of charge at the start.</param>
    /// <remarks>
    /// CC ends at (Vmax - I R - V0)/s; CV current decays with τ = R Q/s, t = τ ln(I/Icut), charge τ (I - Icut). A cold pack's high R ends CC early and stretches CV.
    /// Source: RC circuit, elementary. Check: rows cccv_linear_OCV.
    /// </remarks>
    public static ChargeTime Linear(
        AmpereHours capacity, Volts emptyVolts, Volts slope, Ohms resistance, Amperes current, Volts limit, Amperes cutOff, StateOfCharge from)
    {
        double change = (limit.Value - (current.Value * resistance.Value) - emptyVolts.Value) / slope.Value;
        double reached = Math.Max(change, from.Value);
        double ccHours = Math.Max(0, change - from.Value) * capacity.Value / current.Value;
        double tau = resistance.Value * capacity.Value / slope.Value;

        // A start past the change-over begins with what current the voltage leaves.
        double first = Math.Min(current.Value, (limit.Value - emptyVolts.Value - (slope.Value * reached)) / resistance.Value);
        double cvHours = first > cutOff.Value ? tau * Math.Log(first / cutOff.Value) : 0;
        double end = reached + (cvHours > 0 ? tau * (first - cutOff.Value) / capacity.Value : 0);
        return new ChargeTime(Duration.FromHours(ccHours), Duration.FromHours(cvHours), new(reached), new(end));
    }

    /// <summary>Charge time of a pack along its own table, by stepping the state of charge.</summary>
    /// <param name="pack">The pack.</param>
    /// <param name="from">State of charge at the start.</param>
    /// <param name="to">State of charge to reach; at most what the cut-off current allows.</param>
    /// <param name="current">Current that the charger gives.</param>
    /// <param name="temperature">Cell temperature; the current is held to its zone.</param>
    /// <returns>The time, or null where charging is not allowed at this temperature or no voltage limit is known.</returns>
    public static ChargeTime? Of(PackModel pack, StateOfCharge from, StateOfCharge to, Amperes current, Celsius temperature)
    {
        ArgumentNullException.ThrowIfNull(pack);
        double allowed = pack.Limits.MaxRate(temperature) * pack.Pack.Capacity.Value;
        if (allowed <= 0 || pack.Limits.MaxPackVolts(pack.Pack.Series, temperature) is not { } limit)
        {
            return null;
        }

        double most = Math.Min(current.Value, allowed);
        double cutOff = pack.Pack.Capacity.Value / 20;
        double r = pack.Resistance(temperature).Value;
        double cc = 0;
        double cv = 0;
        double change = from.Value;
        double s = from.Value;
        const double Step = 0.002;
        while (s < to.Value - 1e-12)
        {
            double ds = Math.Min(Step, to.Value - s);
            double room = (limit.Value - pack.OpenCircuit(new(s + (ds / 2))).Value) / r;
            if (room < Math.Min(cutOff, most))
            {
                break;
            }

            double amperes = Math.Min(most, room);
            double hours = ds * pack.Pack.Capacity.Value / amperes;
            (cc, cv, change) = amperes >= most ? (cc + hours, cv, s + ds) : (cc, cv + hours, change);
            s += ds;
        }

        return new ChargeTime(Duration.FromHours(cc), Duration.FromHours(cv), new(change), new(s));
    }
}
