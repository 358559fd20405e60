using NodaTime;

namespace KitMesh.Domain.State;

/// <summary>A fact with its place in the order.</summary>
/// <typeparam name="T">The fact.</typeparam>
/// <param name="Body">The fact.</param>
/// <param name="Stamp">When and by whom.</param>
public sealed record Stamped<T>(T Body, FactStamp Stamp)
{
    /// <summary>When it was written, as the mesh believes.</summary>
    public Instant Time => Stamp.Time;
}
