namespace KitMesh.Demo.Clock;

/// <summary>World time as a pace: timers that were asked for five minutes fire when five world minutes have passed.</summary>
/// <param name="file">The shared clock.</param>
/// <param name="machine">Machine time, which really waits.</param>
public sealed class WorldPace(WorldClockFile file, TimeProvider machine) : TimeProvider
{
    /// <inheritdoc/>
    public override long TimestampFrequency => 1_000_000_000;

    /// <inheritdoc/>
    public override DateTimeOffset GetUtcNow() => DateTimeOffset.UnixEpoch.AddTicks(file.Nanoseconds / 100);

    /// <inheritdoc/>
    public override long GetTimestamp() => file.Nanoseconds;

    /// <inheritdoc/>
    public override ITimer CreateTimer(TimerCallback callback, object? state, TimeSpan dueTime, TimeSpan period)
    {
        ArgumentNullException.ThrowIfNull(callback);
        return new WorldTimer(file, machine, () => callback(state), dueTime, period);
    }
}
