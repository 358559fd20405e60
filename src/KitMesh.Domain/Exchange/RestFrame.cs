namespace KitMesh.Domain.Exchange;

/// <summary>The sender has nothing more to say for now.</summary>
/// <param name="Heard">How many holdings, reports, compare and contents frames of the peer it has worked through.</param>
public sealed record RestFrame(ulong Heard) : SessionFrame;
