namespace KitMesh.Domain.Exchange;

/// <summary>The last frame.</summary>
/// <param name="Reason">Why.</param>
/// <param name="Words">The same for a person, with what to do.</param>
public sealed record ByeFrame(ByeReason Reason, string Words) : SessionFrame;
