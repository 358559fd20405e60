namespace KitMesh.Domain.Exchange;

/// <summary>A frame that could not be read: of a newer version, or broken.</summary>
/// <param name="Malformed">True when broken, false when only unknown.</param>
/// <param name="Words">What is wrong with it.</param>
public sealed record OddFrame(bool Malformed, string Words) : SessionFrame;
