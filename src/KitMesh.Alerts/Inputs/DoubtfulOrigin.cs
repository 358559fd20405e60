using KitMesh.Domain.Reports;

namespace KitMesh.Alerts.Inputs;

/// <summary>Reports that are said to be of an origin and that its seals do not fit.</summary>
/// <param name="Origin">The origin.</param>
/// <param name="First">The first sequence in doubt.</param>
/// <param name="Last">The last one.</param>
/// <param name="WrongSignature">True: a seal that its node did not sign. False: its node sealed other reports.</param>
public sealed record DoubtfulOrigin(OriginId Origin, ulong First, ulong Last, bool WrongSignature);
