namespace KitMesh.Domain.Exchange;

/// <summary>Asks for the peer's clock.</summary>
/// <param name="Id">Comes back in the echo.</param>
public sealed record ClockProbeFrame(ulong Id) : SessionFrame;
