using KitMesh.Domain.Quantities;

namespace KitMesh.Domain.Results;

/// <summary>What each way to run the box heater does to the chance of running short.</summary>
/// <param name="Always">Thermostat on day and night.</param>
/// <param name="ForTheSun">On only ahead of the sun on days that the panels go out, and while they stand.</param>
/// <param name="Off">Never on.</param>
/// <param name="Best">The way with the least chance; of equals the one that takes less energy.</param>
/// <param name="Words">The same in one sentence, with the safety words.</param>
public sealed record HeaterChoice(Probability Always, Probability ForTheSun, Probability Off, string Best, string Words);
