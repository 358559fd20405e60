using KitMesh.Domain.Quantities;

namespace KitMesh.Models.Battery;

/// <summary>What is believed of one pack after the readings so far.</summary>
/// <param name="Charge">State of charge, best estimate.</param>
/// <param name="ChargeSigma">Its standard deviation as a fraction.</param>
/// <param name="CurrentOffset">Offset of the current sensor: what it shows when nothing flows.</param>
/// <param name="CurrentGain">Gain of the current sensor; 1 is right.</param>
/// <param name="CapacityFactor">Capacity now over rated; falls with age.</param>
/// <param name="CapacitySigma">Its standard deviation.</param>
/// <param name="OffsetSigma">Standard deviation of the offset.</param>
/// <param name="GainSigma">Standard deviation of the gain.</param>
public readonly record struct ChargeBelief(
    StateOfCharge Charge, double ChargeSigma, Amperes CurrentOffset, double CurrentGain, double CapacityFactor, double CapacitySigma, Amperes OffsetSigma, double GainSigma)
{
    /// <summary>Whether readings show that the pack holds less than its rating: 95 % at most, and that surely (two standard deviations).</summary>
    public bool HasFaded => CapacityFactor <= 0.95 && CapacityFactor + (2 * CapacitySigma) < 1;

    /// <summary>Whether the sensor's offset is surely not zero (two standard deviations).</summary>
    public bool HasOffset => Math.Abs(CurrentOffset.Value) > 2 * OffsetSigma.Value;

    /// <summary>Whether the sensor's gain is surely not one, by two hundredths or more.</summary>
    public bool HasGain => Math.Abs(CurrentGain - 1) > Math.Max(0.02, 2 * GainSigma);
}
