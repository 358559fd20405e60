using KitMesh.Domain.Quantities;

namespace KitMesh.Models.Battery;

// Problem: what may fly with whom, before anybody stands at a counter.
// Trap: rules change, operators and states may be stricter, and an old table that looks sure is worse than none.
// Method: the limits of 100 and 160 Wh with the counts, each answer with its date and source and the advice to ask the operator. Nothing here is a permission.
// Sources: TSA page and 49 CFR 175.10(a)(18) (2018 edition) for spares in the cabin; a 2024 handbook after the IATA regulations for counts of devices;
// ICAO addendum 1 to the 2025-2026 Technical Instructions as reported by the UK CAA for power banks since 27 March 2026; lion.com and jauch.com for cargo
// at 30 % state of charge since 1 January 2026. The 160 Wh limit and the count of 20 spares are from memory. The IATA table and the ICAO text were not opened.

/// <summary>Rules for lithium batteries in passengers' baggage.</summary>
public static class AirRules
{
    private const string Words =
        "Lithium packs can burn. Terminals protected one by one, carried in the cabin, never damaged ones. Rules change and operators and states may be stricter: "
        + "the operator, the local rules and licensed people decide; home-built packs need the evidence of UN 38.3 and a Wh mark.";

    /// <summary>What the rules say.</summary>
    /// <param name="each">Energy of one battery: volts times ampere-hours.</param>
    /// <param name="kind">How it travels.</param>
    /// <param name="count">How many one person carries, from 1.</param>
    /// <exception cref="ArgumentOutOfRangeException">The energy is not above zero or the count is below one.</exception>
    public static AirAnswer For(WattHours each, AirKind kind, int count)
    {
        if (!(each.Value > 0) || !double.IsFinite(each.Value))
        {
            throw new ArgumentOutOfRangeException(nameof(each), each.Value, "Wh must be above zero.");
        }

        ArgumentOutOfRangeException.ThrowIfLessThan(count, 1);
        (AirVerdict verdict, string reason, string date) = each.Value > 160
            ? (AirVerdict.NotAllowed, "more than 160 Wh: not in passengers' baggage; cargo as class 9, at most 30 % charged when shipped alone or packed with equipment", "2026-01-01")
            : kind switch
            {
                AirKind.PowerBank => PowerBank(each.Value, count),
                AirKind.Spare => Spare(each.Value, count),
                AirKind.Installed => Installed(each.Value, count),
                _ => throw new ArgumentOutOfRangeException(nameof(kind), kind, "Not a way to travel."),
            };
        return new AirAnswer(verdict, $"{reason}. {Words}", date);
    }

    private static (AirVerdict, string, string) PowerBank(double wattHours, int count) => (wattHours, count) switch
    {
        (_, > 2) => (AirVerdict.NotAllowed, "at most two power banks a person (ICAO addendum 1 to the 2025-2026 Technical Instructions)", "2026-03-27"),
        ( > 100, _) => (AirVerdict.AskOperator, "over 100 and up to 160 Wh: only with the operator's approval, at most two, cabin, not recharged or used for charging on board", "2026-03-27"),
        _ => (AirVerdict.Allowed, "up to 100 Wh and at most two: cabin only, each protected, not recharged and not charging devices on board", "2026-03-27"),
    };

    private static (AirVerdict, string, string) Spare(double wattHours, int count) => (wattHours, count) switch
    {
        ( > 100, > 2) => (AirVerdict.NotAllowed, "over 100 and up to 160 Wh: at most two spares a person", "2024"),
        ( > 100, _) => (AirVerdict.AskOperator, "over 100 and up to 160 Wh: only with the operator's approval, at most two spares, cabin", "2024"),
        (_, > 20) => (AirVerdict.AskOperator, "more than 20 spares of up to 100 Wh: the operator decides (the count is from memory)", "2024"),
        _ => (AirVerdict.Allowed, "up to 100 Wh: spares in the cabin only (49 CFR 175.10(a)(18); 2024 handbook)", "2024"),
    };

    private static (AirVerdict, string, string) Installed(double wattHours, int count) => (wattHours, count) switch
    {
        ( > 100, _) => (AirVerdict.AskOperator, "over 100 and up to 160 Wh in a device: only with the operator's approval", "2024"),
        (_, > 15) => (AirVerdict.AskOperator, "more than 15 devices a person: the operator decides (2024 handbook)", "2024"),
        _ => (AirVerdict.Allowed, "up to 100 Wh in its device: allowed, switched off and protected against starting by itself", "2024"),
    };
}
