using System.Globalization;
using KitMesh.Domain;
using KitMesh.Domain.Quantities;

namespace KitMesh.Models.Battery;

// Problem: what flows when packs of unequal charge are joined in parallel.
// Trap: looking at pairs: with five packs the odd one out takes the current of all the others at once.
// Method: one node. Each pack is a source behind its resistance, so the node voltage is the conductance-weighted mean
// (Millman's theorem), less the load current over the sum of conductances.
// Source: J. Millman, "A useful network theorem", Proc. IRE 28 (1940) 413 to 417. Check: ParallelNetworkTests, rows parallel_packs.

/// <summary>Packs joined in parallel, solved as one network.</summary>
public static class ParallelNetwork
{
    /// <summary>Largest difference of rested voltages that is not refused, per pack.</summary>
    /// <remarks>Common practice, no published source: 0.1 V.</remarks>
    public static readonly Volts MaxDifference = new(0.1);

    /// <summary>Largest current that is not refused into a pack of which nothing else is known. Own choice, no published source.</summary>
    public static readonly Amperes MaxUnknownCurrent = new(1);

    private const string Safety =
        "Lithium packs can burn; joining unequal packs can weld contacts or make them explode. Same chemistry, same cell count, fuses, polarity checked; "
        + "makers' sheets and licensed people decide.";

    /// <summary>Solves the network at the moment of joining.</summary>
    /// <param name="packs">Two packs or more.</param>
    /// <param name="load">Current that a load draws from the common point; zero with none.</param>
    /// <exception cref="ArgumentException">Fewer than two packs, or a resistance that is not above zero.</exception>
    public static ParallelAnswer Solve(ReadOnlySpan<ParallelPack> packs, Amperes load = default)
    {
        if (packs.Length < 2)
        {
            throw new ArgumentException("It takes two packs to join.", nameof(packs));
        }

        double conductance = 0;
        double weighted = 0;
        foreach (ParallelPack pack in packs)
        {
            if (!(pack.Resistance.Value > 0) || !double.IsFinite(pack.OpenCircuit.Value))
            {
                throw new ArgumentException("Every pack needs a finite voltage and a resistance above zero.", nameof(packs));
            }

            conductance += 1 / pack.Resistance.Value;
            weighted += pack.OpenCircuit.Value / pack.Resistance.Value;
        }

        double bus = (weighted - load.Value) / conductance;
        var currents = new Amperes[packs.Length];
        double heat = 0;
        int odd = 0;
        for (int i = 0; i < packs.Length; i++)
        {
            double amperes = (packs[i].OpenCircuit.Value - bus) / packs[i].Resistance.Value;
            currents[i] = new Amperes(amperes);
            heat += amperes * amperes * packs[i].Resistance.Value;
            odd = Math.Abs(amperes) > Math.Abs(currents[odd].Value) ? i : odd;
        }

        (ParallelVerdict verdict, string words) = Judge(packs, currents);
        return new ParallelAnswer(new(bus), ValueList.Create<Amperes>(currents), new(heat), odd, verdict, $"{words} {Safety}");
    }

    /// <summary>How two packs with straight open-circuit lines settle.</summary>
    /// <param name="first">Rested voltage of the first.</param>
    /// <param name="second">Rested voltage of the second.</param>
    /// <param name="firstCapacity">Rated charge of the first.</param>
    /// <param name="secondCapacity">Rated charge of the second.</param>
    /// <param name="firstSlope">Rise of its open-circuit voltage from empty to full.</param>
    /// <param name="secondSlope">The same of the second.</param>
    /// <param name="loop">Resistance of both packs and leads.</param>
    /// <remarks>C = 3600 Q/slope; τ = R C1 C2/(C1 + C2); V = Σ C V/Σ C; heat = half Ceq ΔV². RC circuit, elementary. Check: rows parallel_equalise_linear_OCV.</remarks>
    public static (double TauSeconds, Volts Final, AmpereHours Moved, WattHours Heat) Settle(
        Volts first, Volts second, AmpereHours firstCapacity, AmpereHours secondCapacity, Volts firstSlope, Volts secondSlope, Ohms loop)
    {
        double c1 = 3600 * firstCapacity.Value / firstSlope.Value;
        double c2 = 3600 * secondCapacity.Value / secondSlope.Value;
        double series = c1 * c2 / (c1 + c2);
        double difference = first.Value - second.Value;
        return (
            loop.Value * series,
            new(((c1 * first.Value) + (c2 * second.Value)) / (c1 + c2)),
            new(series * Math.Abs(difference) / 3600),
            new(series * difference * difference / 2 / 3600));
    }

    private static (ParallelVerdict Verdict, string Words) Judge(ReadOnlySpan<ParallelPack> packs, Amperes[] currents)
    {
        double low = double.PositiveInfinity;
        double high = double.NegativeInfinity;
        foreach (ParallelPack pack in packs)
        {
            low = Math.Min(low, pack.OpenCircuit.Value);
            high = Math.Max(high, pack.OpenCircuit.Value);
        }

        if (high - low > MaxDifference.Value + 1e-9)
        {
            return (ParallelVerdict.DoNotJoin, string.Create(
                CultureInfo.InvariantCulture, $"Do not join: the rested voltages differ by {high - low:0.00} V, the limit is {MaxDifference.Value:0.0} V."));
        }

        for (int i = 0; i < packs.Length; i++)
        {
            double limit = (packs[i].MaxCharge ?? MaxUnknownCurrent).Value;
            if (-currents[i].Value > limit)
            {
                return (ParallelVerdict.DoNotJoin, string.Create(
                    CultureInfo.InvariantCulture, $"Do not join: {-currents[i].Value:0.0} A would flow into pack {i + 1}, its limit is {limit:0.0} A."));
            }
        }

        return (ParallelVerdict.WithinLimits, string.Create(
            CultureInfo.InvariantCulture, $"Within the limits of {MaxDifference.Value:0.0} V and of every pack's charge current."));
    }
}
