using KitMesh.Domain.Quantities;
using KitMesh.Offload.Drives;

namespace KitMesh.Devices.BackupStation;

/// <summary>Measures what moving bytes costs the station, from the power reports of its own agent.</summary>
internal sealed class StationMeter(StationPowerOptions? options, ReaderContext context, PatientLooks looks)
{
    // Less than this measured, and the figure would be a guess.
    private const double LeastCovered = 0.8;
    private const int IdleReadings = 100;
    private const int FewIdleReadings = 3;

    private static readonly TimeSpan Beat = TimeSpan.FromSeconds(1);

    private readonly Queue<double> _idle = new();

    /// <summary>What the station draws when it moves nothing; null while that is not known.</summary>
    public Watts? Idle => options?.Idle ?? (_idle.Count >= FewIdleReadings ? new Watts(_idle.Average()) : null);

    private Watts? Now => options is null ? null : context.LoadNow(options.Load)?.Watts;

    /// <summary>Learns the idle draw; call while nothing is moved.</summary>
    public void SeeIdle()
    {
        if (Now is not { } watts)
        {
            return;
        }

        _idle.Enqueue(watts.Value);
        if (_idle.Count > IdleReadings)
        {
            _idle.Dequeue();
        }
    }

    /// <summary>Waits for work that moves bytes and adds its cost to each drive's own figure.</summary>
    /// <typeparam name="T">What the work comes to.</typeparam>
    /// <param name="work">The work.</param>
    /// <param name="moved">Bytes that it wrote to and read from each drive.</param>
    /// <param name="stop">Stops waiting for drives.</param>
    public async Task<T> MeasureAsync<T>(Task<T> work, Func<T, IReadOnlyList<(DriveTarget Drive, ByteCount Moved)>> moved, CancellationToken stop)
    {
        if (Idle is not { } idle)
        {
            return await work.ConfigureAwait(false);
        }

        var tally = new EnergyTally(idle);
        tally.Add(TimeSpan.Zero, Now);
        long last = context.MachineTime.GetTimestamp();
        while (!work.IsCompleted)
        {
            await Task.WhenAny(work, Task.Delay(Beat, context.MachineTime)).ConfigureAwait(false);
            long now = context.MachineTime.GetTimestamp();
            tally.Add(context.MachineTime.GetElapsedTime(last, now), Now);
            last = now;
        }

        T result = await work.ConfigureAwait(false);
        if (tally.Covered >= LeastCovered)
        {
            await ShareAsync(tally.AboveIdle, moved(result), stop).ConfigureAwait(false);
        }

        return result;
    }

    private async Task ShareAsync(WattHours energy, IReadOnlyList<(DriveTarget Drive, ByteCount Moved)> moved, CancellationToken stop)
    {
        long all = moved.Sum(drive => drive.Moved.Value);
        foreach ((DriveTarget drive, ByteCount bytes) in moved.Where(drive => drive.Moved.Value > 0))
        {
            await looks.TryAsync(drive.Root, drive.Drive!.Value, () => MoveCost.TryAdd(drive.Root, new WattHours(energy.Value * bytes.Value / all), bytes), stop).ConfigureAwait(false);
        }
    }
}
