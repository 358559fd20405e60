using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>One line of tonight's list: what goes into which outlet, from when to when.</summary>
/// <param name="Kind">Charge or warm.</param>
/// <param name="Outlet">The outlet; null while warming.</param>
/// <param name="Load">The device.</param>
/// <param name="From">Plug in (or start to warm).</param>
/// <param name="Until">Unplug.</param>
/// <param name="Power">Mean power at the plug.</param>
/// <param name="FromBank">Energy that leaves the bank for it.</param>
/// <param name="IntoBattery">Energy that reaches the device.</param>
/// <param name="ChargeAfter">State of charge of the device afterwards; null when unknown.</param>
/// <param name="Words">The line as a person reads it by headlamp.</param>
public sealed record ChargingStep(
    ChargingStepKind Kind,
    KitId? Outlet,
    KitId Load,
    Instant From,
    Instant Until,
    Watts Power,
    WattHours FromBank,
    WattHours IntoBattery,
    StateOfCharge? ChargeAfter,
    string Words);
