using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Results;

/// <summary>A device that is left out of tonight's charging, in whole or in part.</summary>
/// <param name="Load">The device.</param>
/// <param name="Reason">Why.</param>
/// <param name="Missing">Energy that its battery lacks after tonight.</param>
/// <param name="Words">The same in plain words.</param>
public sealed record LeftOut(KitId Load, LeftOutReason Reason, WattHours Missing, string Words);
