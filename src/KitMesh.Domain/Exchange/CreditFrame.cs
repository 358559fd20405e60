namespace KitMesh.Domain.Exchange;

/// <summary>Leave to send more bytes of reports.</summary>
/// <param name="Bytes">How many more, from 1.</param>
public sealed record CreditFrame(long Bytes) : SessionFrame;
