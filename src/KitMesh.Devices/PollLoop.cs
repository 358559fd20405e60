using KitMesh.Devices.Options;

namespace KitMesh.Devices;

/// <summary>Wakes a reader at a steady pace of world time, and counts each time.</summary>
internal static class PollLoop
{
    /// <summary>The least interval that an agent file may ask for.</summary>
    public static readonly TimeSpan Shortest = TimeSpan.FromMilliseconds(100);

    /// <summary>Reads the key <c>interval</c>.</summary>
    public static TimeSpan Interval(OptionMap map, TimeSpan fallback) => map.Time("interval", Shortest, TimeSpan.FromHours(24), fallback);

    /// <summary>Calls the poll at once and then at each interval until stopped. A slow poll skips beats, it never piles them up.</summary>
    public static async Task RunAsync(ReaderContext context, TimeSpan interval, Func<CancellationToken, Task> poll, CancellationToken stop)
    {
        using var timer = new PeriodicTimer(interval, context.Pace);
        do
        {
            context.CountWakeUp();
            await poll(stop).ConfigureAwait(false);
        }
        while (await timer.WaitForNextTickAsync(stop).ConfigureAwait(false));
    }
}
