namespace KitMesh.Sync.Session;

/// <summary>What holds on a link that is thin or has a budget: urgent reports go first, and the newest of each kind before the older.</summary>
/// <param name="IsUrgent">Judges an encoded report cheaply: true for all but ordinary readings.</param>
/// <param name="Meter">What is left of the budget; null without one.</param>
public sealed record LinkTerms(Func<ReadOnlyMemory<byte>, bool> IsUrgent, ILinkMeter? Meter = null);
