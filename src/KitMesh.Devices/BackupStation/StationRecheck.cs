using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Offload.Drives;
using KitMesh.Offload.Recheck;
using NodaTime;

namespace KitMesh.Devices.BackupStation;

// The problem: copies rot on drives that nobody reads, and nobody thinks of reading them in the cold. The traps: a recheck
// that runs when the bank is low costs the morning's camera; one that runs for an hour keeps a card waiting; a drive that
// is seldom plugged in is never there at the hour that was set. The method: whenever a drive is there, its list says which
// copies are due by the declared age; they are read oldest proof first, for as long as the day's energy and the bank allow,
// in short turns between which the station looks for cards. A drive that comes is looked at at once.

/// <summary>Reads due copies again when drives are there and power allows.</summary>
internal sealed class StationRecheck(StationRecheckOptions? options, BackupStationReaderOptions readerOptions, ReaderContext context, Station station)
{
    // Cards wait for no more than this and the clip that is being read.
    private static readonly TimeSpan Turn = TimeSpan.FromSeconds(20);

    private readonly Dictionary<string, long> _looked = new(StringComparer.Ordinal);
    private readonly RecheckEngine _engine = new(new DeviceWallClock(context.Clock), context.MachineTime, static () => throw new InvalidOperationException("A recheck never draws an identity."));

    /// <summary>Takes one turn.</summary>
    /// <param name="drives">The drives that are there and may run.</param>
    /// <param name="stop">Stops.</param>
    /// <returns>True when there is more to read at once.</returns>
    public async Task<bool> WorkAsync(IReadOnlyList<DriveTarget> drives, CancellationToken stop)
    {
        // Taken out and put in again: look at once.
        foreach (string gone in _looked.Keys.Except(drives.Select(drive => drive.Root)).ToList())
        {
            _looked.Remove(gone);
        }

        if (options is null || (options.Age ?? context.RecheckAgeIn(options.Trip!)) is not { } age)
        {
            return false;
        }

        Duration due = Duration.Max(Duration.Zero, age - options.Ahead);
        foreach (DriveTarget drive in drives.Where(IsToBeLookedAt))
        {
            _looked[drive.Root] = context.Pace.GetTimestamp();
            (bool answered, (ByteCount waiting, JoulesPerGigabyte cost)) = await station.Looks
                .TryAsync(drive.Root, drive.Drive!.Value, () => (RecheckEngine.DueOn(drive.Root, due, Now()), CostOf(drive)), stop)
                .ConfigureAwait(false);
            if (!answered || waiting.Value == 0 || !await MayAsync(drive, waiting, stop).ConfigureAwait(false))
            {
                continue;
            }

            if (await TurnAsync(drive, due, cost, stop).ConfigureAwait(false))
            {
                _looked.Remove(drive.Root);
                return true;
            }
        }

        return false;
    }

    private bool IsToBeLookedAt(DriveTarget drive) =>
        !_looked.TryGetValue(drive.Root, out long at) || context.Pace.GetElapsedTime(at) >= options!.Every;

    private Instant Now() => context.Clock.Read().Wall;

    private JoulesPerGigabyte CostOf(DriveTarget drive) => MoveCost.Of(drive.Root) is { Value: > 0 } measured ? measured : options!.Cost;

    private WattHours? LeftToday() => options!.Energy is { } most ? new WattHours(most.Value - station.Memory.SpentOn(Today()).Value) : null;

    private string Today() => Now().InUtc().Date.ToString("uuuu-MM-dd", System.Globalization.CultureInfo.InvariantCulture);

    private async Task<bool> MayAsync(DriveTarget drive, ByteCount waiting, CancellationToken stop)
    {
        string? why = WhyNot(drive, waiting);
        if (why is null)
        {
            await station.Faults.ClearAsync($"recheck waits {drive.Root}", drive.Drive, stop).ConfigureAwait(false);
            return true;
        }

        await station.Faults.RaiseAsync($"recheck waits {drive.Root}", drive.Drive, why, default, stop).ConfigureAwait(false);
        return false;
    }

    private string? WhyNot(DriveTarget drive, ByteCount waiting)
    {
        string what = $"{waiting} on drive {drive.Drive} are due to be read again";
        if (options!.Bank is { } bank)
        {
            if (context.BatteryNow(bank)?.Charge is not { } charge)
            {
                return $"{what}, but nobody here says how full {bank} is: they wait.";
            }

            if (charge.Value < options.LeastCharge.Value)
            {
                return $"{what}, but {bank} holds {charge} and {options.LeastCharge} is asked for: they wait.";
            }
        }

        return LeftToday() is { Value: <= 0 } ? $"{what}, but today's {options.Energy} for rechecks are spent: they wait." : null;
    }

    private async Task<bool> TurnAsync(DriveTarget drive, Duration due, JoulesPerGigabyte cost, CancellationToken stop)
    {
        using var turn = CancellationTokenSource.CreateLinkedTokenSource(stop);
        long start = context.MachineTime.GetTimestamp();
        var request = new RecheckRequest(drive.Root)
        {
            OlderThan = due,
            MostBytes = LeftToday() is { } left ? cost.Buys(left).Value : null,
            Patience = readerOptions.Patience,
            Power = readerOptions.Drives.Any(place => place.Drive == drive.Drive && place.UnplugCutsPower) ? PowerWord.UnpluggingCutsPower : PowerWord.None,
        };

        void Tell(ReportBody body)
        {
            try
            {
                station.Sink.WriteAsync(new Sample(body), stop).AsTask().GetAwaiter().GetResult();
            }
            catch (OperationCanceledException)
            {
                // The agent stops; what was read is in the drive's list.
            }

            if (context.MachineTime.GetElapsedTime(start) > Turn)
            {
                turn.Cancel();
            }
        }

        Task<RecheckResult> work = Task.Factory.StartNew(
            () => _engine.Run(request, Tell, static (_, _) => { }, turn.Token), CancellationToken.None, TaskCreationOptions.LongRunning, TaskScheduler.Default);
        RecheckResult result = await station.Meter.MeasureAsync(work, ended => ended is RecheckResult.Ran { Outcome: var read } ? [(drive, read.Bytes)] : [], stop).ConfigureAwait(false);
        stop.ThrowIfCancellationRequested();
        if (result is not RecheckResult.Ran { Outcome: var outcome })
        {
            await station.Faults.RaiseAsync($"recheck {drive.Root}", drive.Drive, $"Drive {drive.Drive} cannot be rechecked: {((RecheckResult.Refused)result).Why}.", default, stop).ConfigureAwait(false);
            return false;
        }

        station.Memory.Spend(Today(), cost.For(outcome.Bytes));
        await SayAsync(drive, outcome, stop).ConfigureAwait(false);
        return outcome.Stopped;
    }

    private async Task SayAsync(DriveTarget drive, RecheckOutcome outcome, CancellationToken stop)
    {
        FaultLatch faults = station.Faults;
        if (outcome.Silence is { } silence)
        {
            await faults.RaiseAsync($"recheck {drive.Root}", drive.Drive, $"Drive {drive.Drive} {silence}.", default, stop).ConfigureAwait(false);
        }
        else if (outcome.Bad > 0)
        {
            RecheckedCopy first = outcome.Copies.First(copy => copy.Failure is not null);
            await faults.RaiseAsync(
                $"recheck {drive.Root}",
                drive.Drive,
                FormattableString.Invariant($"{outcome.Bad} of {outcome.Copies.Count} copies read again on drive {drive.Drive} are bad, such as {first.Path} ({first.Detail}). Make them anew: kitmesh recheck --repair-from another drive."),
                default,
                stop).ConfigureAwait(false);
        }
        else if (outcome.Copies.Count > 0 && !outcome.Stopped)
        {
            await faults.ClearAsync($"recheck {drive.Root}", drive.Drive, stop).ConfigureAwait(false);
        }
    }
}
