using KitMesh.Domain.Quantities;

namespace KitMesh.Agent.Options;

/// <summary>How much a value must move before it is reported again, and after how long it is reported anyway.</summary>
/// <param name="Volts">Voltage.</param>
/// <param name="Amperes">Current.</param>
/// <param name="Watts">Power.</param>
/// <param name="Charge">State of charge, as a fraction.</param>
/// <param name="Temperature">Temperature.</param>
/// <param name="Energy">Energy counters.</param>
/// <param name="Longest">A value that does not move is reported after this all the same.</param>
public sealed record DeadbandOptions(
    Volts Volts,
    Amperes Amperes,
    Watts Watts,
    double Charge,
    Kelvins Temperature,
    WattHours Energy,
    TimeSpan Longest)
{
    /// <summary>The defaults: small against what the models can tell apart.</summary>
    public static DeadbandOptions Default { get; } = new(
        new Volts(0.02), new Amperes(0.1), new Watts(2), 0.005, new Kelvins(0.25), new WattHours(1), TimeSpan.FromMinutes(10));
}
