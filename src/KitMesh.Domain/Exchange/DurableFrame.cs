namespace KitMesh.Domain.Exchange;

/// <summary>What became durable at the sender since its last frame of this kind.</summary>
/// <param name="Origins">One entry an origin.</param>
public sealed record DurableFrame(ValueList<DurableOrigin> Origins) : SessionFrame;
