using NodaTime;

namespace KitMesh.Domain.Time;

/// <summary>When something happened, as the mesh believes.</summary>
/// <param name="Time">The instant.</param>
/// <param name="Trust">The rank of the clock behind it.</param>
/// <param name="Doubt">How far it may be off as far as round trips and drift go; the whole of time when no clock is known.</param>
public readonly record struct RetimedInstant(Instant Time, ClockTrust Trust, Duration Doubt);
