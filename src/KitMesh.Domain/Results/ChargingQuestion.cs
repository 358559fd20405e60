using KitMesh.Domain.Quantities;
using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>What tonight's charging plan is computed from.</summary>
/// <param name="Energy">The kit and the readings.</param>
/// <param name="Outlook">The outlook whose spendable energy bounds the plan; null plans with the energy in the banks alone.</param>
/// <param name="Deadline">When everything should be charged; normally tomorrow morning.</param>
/// <param name="Budget">Most energy that may be taken from each bank; null for what the outlook allows.</param>
public sealed record ChargingQuestion(EnergyQuestion Energy, EnergyOutlook? Outlook, Instant Deadline, WattHours? Budget = null);
