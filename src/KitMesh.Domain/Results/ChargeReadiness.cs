using KitMesh.Domain.Quantities;

namespace KitMesh.Domain.Results;

/// <summary>Whether a bank may take charge now, with which current, and what to do when it may not.</summary>
/// <param name="State">The verdict.</param>
/// <param name="Coldest">The coldest believable probe; null without one.</param>
/// <param name="LowerLimit">The limit that was used: the stricter of the chemistry's with its margin and the maker's.</param>
/// <param name="MaxCurrent">Highest charge current for the zone of the coldest probe; zero when it may not charge.</param>
/// <param name="WarmUp">How to warm it; null when it may charge.</param>
/// <param name="Words">The same in plain words, with the safety words of the trade.</param>
public sealed record ChargeReadiness(
    ChargeReadinessState State,
    Celsius? Coldest,
    Celsius LowerLimit,
    Amperes MaxCurrent,
    WarmUpPlan? WarmUp,
    string Words);
