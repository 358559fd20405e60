using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;

namespace KitMesh.Models.Battery;

// Problem: how much of a cold pack's energy can be had at a given load.
// Trap: "half the capacity at -20 °C" is not a property of the pack. At C/27 a measured LFP cell gives 98 % at -25 °C;
// what is lost is lost to I·R, because the terminal voltage meets the cut-off early, and it comes back when the pack warms.
// Method: walk the state of charge down, solve the current for constant power at each step, stop at the cut-off.
// Source: equivalent circuit OCV(SoC) - I R(T), G. Plett, "Battery Management Systems" vol. 1, 2015, chapter 2. Check: PackModelTests.

/// <summary>One declared pack as a voltage source behind a resistance.</summary>
public sealed class PackModel
{
    private const int Steps = 200;

    private readonly OcvTable _ocv;
    private readonly ResistanceCurve _curve;
    private readonly CellData _cell;

    /// <summary>The model of a pack.</summary>
    /// <param name="pack">The pack; null figures are filled with the chemistry's typical ones.</param>
    /// <exception cref="ArgumentOutOfRangeException">The pack has no cells or no capacity.</exception>
    public PackModel(Pack pack)
    {
        ArgumentNullException.ThrowIfNull(pack);
        ArgumentOutOfRangeException.ThrowIfLessThan(pack.Series, 1);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(pack.Capacity.Value);
        Pack = pack;
        _ocv = OcvTable.For(pack.Chemistry);
        _curve = ResistanceCurve.For(pack.Chemistry);
        _cell = CellData.For(pack.Chemistry);
        Limits = ChargeLimits.For(pack);
        ResistanceAt25 = pack.Resistance ?? new Ohms(pack.Series * _cell.OhmAmpereHours / pack.Capacity.Value);
    }

    /// <summary>The pack.</summary>
    public Pack Pack { get; }

    /// <summary>Its charge limits.</summary>
    public ChargeLimits Limits { get; }

    /// <summary>Internal resistance at 25 °C, declared or typical.</summary>
    public Ohms ResistanceAt25 { get; }

    /// <summary>Energy kept of what goes in, from 0 to 1.</summary>
    public double ChargeEfficiency => _cell.ChargeEfficiency;

    /// <summary>Energy from full to empty when drawn slowly.</summary>
    public WattHours Energy => new(Pack.Capacity.Value * Pack.Series * _ocv.MeanVolts(0, 1));

    /// <summary>Pack voltage at which a load stops.</summary>
    public Volts CutOff => new(Pack.Series * _cell.CutOffVolts);

    /// <summary>Open-circuit voltage of the pack.</summary>
    /// <param name="charge">State of charge.</param>
    public Volts OpenCircuit(StateOfCharge charge) => new(Pack.Series * _ocv.Volts(charge.Value));

    /// <summary>Internal resistance of the pack.</summary>
    /// <param name="temperature">Cell temperature.</param>
    public Ohms Resistance(Celsius temperature) => new(ResistanceAt25.Value * _curve.Ratio(temperature));

    /// <summary>States of charge that a rested pack voltage allows.</summary>
    /// <param name="rested">Voltage of the pack at rest.</param>
    /// <param name="meterError">Standard deviation of the meter.</param>
    public (StateOfCharge Low, StateOfCharge Best, StateOfCharge High) ChargeFrom(Volts rested, Volts meterError) =>
        _ocv.ChargeFrom(rested / Pack.Series, meterError / Pack.Series);

    /// <summary>Energy that can be had now at a constant power until the cut-off.</summary>
    /// <param name="from">State of charge now.</param>
    /// <param name="power">Power drawn, from 0.</param>
    /// <param name="temperature">Cell temperature, taken as constant.</param>
    public UsableEnergy Usable(StateOfCharge from, Watts power, Celsius temperature)
    {
        double r = Resistance(temperature).Value;
        double start = Math.Clamp(from.Value, 0, 1);
        double step = start / Steps;
        double wattHours = 0;
        double s = start;
        for (int i = 0; i < Steps; i++)
        {
            double middle = s - (step / 2);
            double ocv = Pack.Series * _ocv.Volts(middle);
            double discriminant = (ocv * ocv) - (4 * power.Value * r);
            double amperes = discriminant < 0 ? double.NaN : r > 0 ? (ocv - Math.Sqrt(discriminant)) / (2 * r) : power.Value / ocv;
            double terminal = ocv - (amperes * r);
            if (!(terminal > CutOff.Value))
            {
                break;
            }

            wattHours += terminal * step * Pack.Capacity.Value;
            s -= step;
        }

        return new UsableEnergy(new WattHours(wattHours), new StateOfCharge(Math.Max(0, s)));
    }
}
