using KitMesh.Domain.Quantities;
using KitMesh.Domain.Results;

namespace KitMesh.Domain.Digest;

/// <summary>One bank in a digest line. Null is what is not known.</summary>
/// <param name="Bank">The bank.</param>
/// <param name="Charge">State of charge, to a hundredth.</param>
/// <param name="ChargeDoubt">Half the width of the range from one chance in ten to nine in ten, in steps of three hundredths up to 0.45.</param>
/// <param name="ShortBest">Chance of running short by the last day.</param>
/// <param name="ShortLow">The same when the doubtful inputs turn out well.</param>
/// <param name="ShortHigh">The same when they turn out badly.</param>
/// <param name="AutonomyQuarterDays">How long it lasts without any sun, in quarters of a day; 62 stands for as long or longer.</param>
/// <param name="Spendable">Energy above the reserve, in steps of 10 Wh up to 10,220 Wh.</param>
/// <param name="Readiness">Whether it may take charge.</param>
/// <param name="Coldest">Its coldest probe, in whole degrees from -63 to 63.</param>
public sealed record DigestBank(
    NameTag Bank,
    StateOfCharge? Charge,
    double ChargeDoubt,
    Probability? ShortBest,
    Probability? ShortLow,
    Probability? ShortHigh,
    int? AutonomyQuarterDays,
    WattHours? Spendable,
    ChargeReadinessState Readiness,
    Celsius? Coldest);
