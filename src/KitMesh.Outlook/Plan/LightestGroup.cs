using KitMesh.Domain;
using KitMesh.Domain.Quantities;

namespace KitMesh.Outlook.Plan;

/// <summary>The answer for one bank or for the drives.</summary>
/// <param name="For">The bank; "drives" for the drives.</param>
/// <param name="Counts">How many of each item; empty when nothing is good enough.</param>
/// <param name="Mass">Their weight; null when nothing is good enough.</param>
/// <param name="Chance">The chance with them.</param>
/// <param name="IsProven">True when every lighter combination was ruled out; false when the number of outlooks ran out before.</param>
/// <param name="WouldDo">When nothing is good enough: what would, in words. Else empty.</param>
/// <param name="Curve">Weight against chance: the best that was rolled, lightest first.</param>
public sealed record LightestGroup(
    string For, ValueList<ItemCount> Counts, Kilograms? Mass, Probability? Chance, bool IsProven, string WouldDo, ValueList<TradeOff> Curve);
