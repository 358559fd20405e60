using NodaTime;

namespace KitMesh.Demo.Clock;

/// <summary>World time as a NodaTime clock.</summary>
/// <param name="file">The shared clock.</param>
public sealed class WorldClock(WorldClockFile file) : IClock
{
    /// <inheritdoc/>
    public Instant GetCurrentInstant() => file.Now;
}
