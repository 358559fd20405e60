using KitMesh.Domain.Quantities;

namespace KitMesh.Models.Battery;

/// <summary>What is believed of one pack after the readings so far.</summary>
/// <param name="Charge">State of charge, best estimate.</param>
/// <param name="ChargeSigma">Its standard deviation as a fraction.</param>
/// <param name="CurrentOffset">Offset of the current sensor: what it shows when nothing flows.</param>
/// <param name="CurrentGain">Gain of the current sensor; 1 is right.</param>
/// <param name="CapacityFactor">Capacity now over rated; falls with age.</param>
/// <param name="CapacitySigma">Its standard deviation.</param>
public readonly record struct ChargeBelief(
    StateOfCharge Charge, double ChargeSigma, Amperes CurrentOffset, double CurrentGain, double CapacityFactor, double CapacitySigma);
