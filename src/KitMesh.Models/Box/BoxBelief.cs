using KitMesh.Domain.Quantities;

namespace KitMesh.Models.Box;

/// <summary>What is believed of a box after the readings so far.</summary>
/// <param name="Model">Best C and UA.</param>
/// <param name="CapacitySigma">Standard deviation of C as a fraction of it.</param>
/// <param name="LossSigma">Standard deviation of UA as a fraction of it.</param>
/// <param name="Readings">Intervals that taught something.</param>
public readonly record struct BoxBelief(BoxModel Model, double CapacitySigma, double LossSigma, int Readings);
