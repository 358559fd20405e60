using KitMesh.Domain.Reports;

namespace KitMesh.Sync.Seals;

/// <summary>Something is wrong with what is said to be of one origin.</summary>
/// <param name="Origin">The origin.</param>
/// <param name="First">The first sequence that is in doubt.</param>
/// <param name="Last">The last one.</param>
/// <param name="WrongSignature">True: a seal that its node did not sign. False: the node sealed other reports than these.</param>
public readonly record struct SealFault(OriginId Origin, ulong First, ulong Last, bool WrongSignature);
