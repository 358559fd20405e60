using System.Globalization;
using System.Security.Cryptography;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Offload.Cards;
using KitMesh.Offload.Drives;
using KitMesh.Offload.Engine;

namespace KitMesh.Devices.BackupStation;

// The problem: cards come and go at any time, drives one at a time, and formatting happens in the camera where nobody
// sees it. The method: look at all places when the kernel tells of a mount, and at a steady pace; a card whose content is new and stays the same for a while is
// offloaded to the drives that are there; when another drive comes while the card is still in, it is offloaded again,
// which only adds what is missing. A card that comes back with none of the files of its last visit was formatted in between.

/// <summary>A station: offloads every card that comes to the drives that are there.</summary>
internal sealed class BackupStationReader(string name, BackupStationReaderOptions options, ReaderContext context) : IReader
{
    // Bounded: a hub full of readers, not a world of them.
    private const int MaxPlaces = 64;

    private static readonly TimeSpan AskAgain = TimeSpan.FromMinutes(2);

    private readonly Dictionary<string, Sighting> _sightings = new(StringComparer.Ordinal);
    private readonly Dictionary<string, (long At, Celsius? Own)> _temperatures = new(StringComparer.Ordinal);
    private readonly OffloadEngine _engine = new(
        new DeviceWallClock(context.Clock),
        context.MachineTime,
        static () => BitConverter.ToUInt64(RandomNumberGenerator.GetBytes(sizeof(ulong))));

    /// <inheritdoc/>
    public string Name => name;

    /// <inheritdoc/>
    public async Task RunAsync(ISampleSink sink, CancellationToken stop)
    {
        var memory = StationMemory.Load(context.StateFolder);
        var faults = new FaultLatch(name, sink);
        var looks = new PatientLooks(options.Patience, context.MachineTime, faults);
        var meter = new StationMeter(options.Power, context, looks);
        var station = new Station(memory, faults, looks, meter, sink);
        using var mounts = new MountWatch();
        var recheck = new StationRecheck(options.Recheck, options, context, station);
        long told = context.Pace.GetTimestamp();
        bool first = true;
        while (true)
        {
            context.CountWakeUp();
            List<DriveTarget> drives = await DrivesAsync(station, stop).ConfigureAwait(false);
            if (first || context.Pace.GetElapsedTime(told) >= options.DriveStateEvery)
            {
                first = false;
                told = context.Pace.GetTimestamp();
                await TellDrivesAsync(drives, station, stop).ConfigureAwait(false);
            }

            bool busy = false;
            foreach (CardPlace place in Places())
            {
                busy |= await LookAsync(place, drives, station, stop).ConfigureAwait(false);
            }

            if (busy || await recheck.WorkAsync(drives, stop).ConfigureAwait(false))
            {
                // A card may have come meanwhile, or there is more to read: look again at once.
                continue;
            }

            meter.SeeIdle();
            await mounts.WaitAsync(options.Interval, context.MachineTime, stop).ConfigureAwait(false);
        }
    }

    /// <inheritdoc/>
    public ValueTask DisposeAsync() => ValueTask.CompletedTask;

    /// <returns>True when it offloaded the card.</returns>
    private async Task<bool> LookAsync(CardPlace place, List<DriveTarget> drives, Station station, CancellationToken stop)
    {
        FaultLatch faults = station.Faults;
        (bool answered, CardGlance? glance) = await station.Looks
            .TryAsync(place.Folder, place.Card, () => !place.IsFound || CardGlance.HasCameraFolder(place.Folder) ? CardGlance.At(place.Folder) : null, stop)
            .ConfigureAwait(false);
        if (!answered)
        {
            return false;
        }

        if (glance is not { Presence: CardPresence.Card })
        {
            _sightings.Remove(place.Folder);
            return false;
        }

        long now = context.MachineTime.GetTimestamp();
        if (!_sightings.TryGetValue(place.Folder, out Sighting? sighting) || sighting.Fingerprint != glance.Fingerprint)
        {
            _sightings[place.Folder] = sighting = new Sighting(glance.Fingerprint, now);
        }

        string there = string.Join('\n', drives.Select(drive => drive.Drive!.Value.Value));
        bool settled = context.MachineTime.GetElapsedTime(sighting.Since, now) >= options.Settle;
        bool due = sighting.DoneFor != there || (sighting.RetryAt is { } at && context.MachineTime.GetElapsedTime(at, now) >= options.Retry);
        if (!settled || !due)
        {
            return false;
        }

        if (drives.Count == 0)
        {
            await faults.RaiseAsync("drives", place.Card, $"Card {place.Card} is in, but no drive is there: it waits.", default, stop).ConfigureAwait(false);
            return false;
        }

        await faults.ClearAsync("drives", place.Card, stop).ConfigureAwait(false);
        bool good = await OffloadAsync(place, glance, drives, station, stop).ConfigureAwait(false);
        sighting.DoneFor = there;
        sighting.RetryAt = good ? null : context.MachineTime.GetTimestamp();
        return true;
    }

    private async Task<bool> OffloadAsync(CardPlace place, CardGlance glance, List<DriveTarget> drives, Station station, CancellationToken stop)
    {
        (StationMemory memory, FaultLatch faults, ISampleSink sink) = (station.Memory, station.Faults, station.Sink);
        StationMemory.Visit? last = memory.LastVisit(place.Card.Value);
        string insertion = last?.Fingerprint == glance.Fingerprint ? last.Insertion : NewInsertion();
        if (last is { Files.Count: > 0 } && !last.Files.Intersect(glance.FilePrints).Any())
        {
            KitId? lastInsertion = KitId.TryParse(last.Insertion, out KitId parsed) ? parsed : null;
            await sink.WriteAsync(new Sample(new CardFormatted(place.Card, lastInsertion, Inferred: true)), stop).ConfigureAwait(false);
        }

        var request = new OffloadRequest(place.Folder, place.Card, KitId.Parse(insertion), place.Source, drives, CopiesWanted: Math.Max(1, drives.Count))
        {
            Template = options.Template,
            ExtraHashes = options.Hashes,
            Order = options.Order,
            ProtectCard = options.Protect,
            GoOnWithout = true,
            Patience = options.Patience,
        };

        void Tell(ReportBody body)
        {
            try
            {
                // The engine's threads wait here while the agent's queue is full.
                sink.WriteAsync(new Sample(body), stop).AsTask().GetAwaiter().GetResult();
            }
            catch (OperationCanceledException)
            {
                // The agent stops. The visit is not remembered as done, so the next start tells it again.
            }
        }

        OffloadResult result = await station.Meter.MeasureAsync(
            Task.Factory.StartNew(() => _engine.Run(request, Tell, new OffloadProgress(), stop), CancellationToken.None, TaskCreationOptions.LongRunning, TaskScheduler.Default),
            ended => ended is OffloadResult.Ran ran ? Moved(request, ran.Outcome) : [],
            stop).ConfigureAwait(false);
        stop.ThrowIfCancellationRequested();
        if (result is not OffloadResult.Ran { Outcome: var outcome })
        {
            string why = string.Join("; ", ((OffloadResult.Refused)result).Problems);
            await faults.RaiseAsync("offload", place.Card, $"Card {place.Card} cannot be offloaded: {why}.", default, stop).ConfigureAwait(false);
            return false;
        }

        await faults.ClearAsync("offload", place.Card, stop).ConfigureAwait(false);
        if (outcome.MissingChapters.Count > 0)
        {
            await faults.RaiseAsync("chapters", place.Card, $"Card {place.Card}: {string.Join("; ", outcome.MissingChapters)}. Look in the camera and on its other card before anything is formatted.", default, stop).ConfigureAwait(false);
        }
        else
        {
            await faults.ClearAsync("chapters", place.Card, stop).ConfigureAwait(false);
        }

        await sink.FlushAsync(stop).ConfigureAwait(false);
        memory.Keep(place.Card.Value, new StationMemory.Visit(insertion, glance.Fingerprint, glance.FilePrints));
        return outcome.Failed == 0 && outcome.CardSteady;
    }

    // What was proven now was written once and read once.
    private static IReadOnlyList<(DriveTarget Drive, ByteCount Moved)> Moved(OffloadRequest request, OffloadOutcome outcome) =>
    [
        .. request.Drives.Select(drive => (drive, new ByteCount(2 * outcome.Clips
            .Where(clip => clip.Copies.Any(copy => copy.Drive == drive.Drive && copy.State == CopyState.Verified))
            .Sum(clip => clip.Size.Value)))),
    ];

    private IEnumerable<CardPlace> Places()
    {
        HashSet<string> known = [.. options.Cards.Select(card => card.Folder), .. options.Drives.Select(drive => drive.Folder)];
        IEnumerable<CardPlace> found = options.Watch
            .Where(Directory.Exists)
            .SelectMany(folder => Directory.EnumerateDirectories(folder).Order(StringComparer.Ordinal).Take(MaxPlaces))
            .Where(folder => !known.Contains(folder))
            .Select(folder => KitId.TryParse(Path.GetFileName(folder), out KitId card) ? new CardPlace(card, null, folder, IsFound: true) : null)
            .OfType<CardPlace>();
        return [.. options.Cards, .. found];
    }

    private async Task<List<DriveTarget>> DrivesAsync(Station station, CancellationToken stop)
    {
        FaultLatch faults = station.Faults;
        List<DriveTarget> there = [];
        foreach (DrivePlace place in options.Drives)
        {
            (bool answered, (bool isThere, DriveState? state)) = await station.Looks
                .TryAsync(place.Folder, place.Drive, () => (Directory.Exists(place.Folder), DriveGlance.At(place.Folder)), stop)
                .ConfigureAwait(false);
            if (!answered || !isThere || (state is null && !place.Prepare))
            {
                continue;
            }

            if (state is not null && state.Drive != place.Drive)
            {
                await faults.RaiseAsync($"name {place.Folder}", place.Drive, $"The drive at {place.Folder} is \"{state.Drive}\", not \"{place.Drive}\": nothing is copied to it.", default, stop).ConfigureAwait(false);
                continue;
            }

            await faults.ClearAsync($"name {place.Folder}", place.Drive, stop).ConfigureAwait(false);
            if (WhyNotNow(place) is { } why)
            {
                await faults.RaiseAsync($"limit {place.Folder}", place.Drive, why, default, stop).ConfigureAwait(false);
                continue;
            }

            await faults.ClearAsync($"limit {place.Folder}", place.Drive, stop).ConfigureAwait(false);
            await WatchIdentityAsync(place, state, station.Memory, faults, stop).ConfigureAwait(false);
            there.Add(new DriveTarget(place.Folder, place.Drive));
        }

        return there;
    }

    private static async Task WatchIdentityAsync(DrivePlace place, DriveState? state, StationMemory memory, FaultLatch faults, CancellationToken stop)
    {
        if (state?.Identity is not { } identity)
        {
            return;
        }

        string? before = memory.IdentityOf(place.Drive.Value);
        if (before is not null && before != identity)
        {
            await faults.RaiseAsync(
                $"identity {place.Folder}",
                place.Drive,
                $"Drive {place.Drive} is not the one seen before (identity {identity}, before {before}): swapped, or reformatted. What was on the old one does not count as being here.",
                default,
                stop).ConfigureAwait(false);
        }

        if (before != identity)
        {
            memory.KeepDrive(place.Drive.Value, identity);
        }
    }

    private string? WhyNotNow(DrivePlace place)
    {
        var around = new DriveSurroundings(options.Altitude, Air(), options.HumidityPercent);

        // Only where there is a thermometer in the air is the drive asked for its own.
        Celsius? own = around.Air is null ? null : OwnTemperature(place.Folder);
        return new DriveLimits(place.MaxAltitude, place.MinTemperature).WhyNotNow(place.Drive, around, own);
    }

    // A drive warms within minutes; asking it at each look would cost more than it tells.
    private Celsius? OwnTemperature(string folder)
    {
        long now = context.MachineTime.GetTimestamp();
        if (!_temperatures.TryGetValue(folder, out (long At, Celsius? Own) asked) || context.MachineTime.GetElapsedTime(asked.At, now) > AskAgain)
        {
            _temperatures[folder] = asked = (now, DriveHealthProbe.Ask(folder).Temperature);
        }

        return asked.Own;
    }

    private Celsius? Air()
    {
        if (options.TemperatureFile is not { } file)
        {
            return null;
        }

        try
        {
            return int.TryParse(File.ReadAllText(file), NumberStyles.AllowLeadingSign | NumberStyles.AllowTrailingWhite, CultureInfo.InvariantCulture, out int thousandths)
                ? new Celsius(thousandths / 1000.0)
                : null;
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            return null;
        }
    }

    private static async Task TellDrivesAsync(List<DriveTarget> drives, Station station, CancellationToken stop)
    {
        foreach (DriveTarget drive in drives)
        {
            (_, DriveState? state) = await station.Looks.TryAsync(drive.Root, drive.Drive!.Value, () => DriveGlance.WithHealth(drive.Root), stop).ConfigureAwait(false);
            if (state is not null)
            {
                await station.Sink.WriteAsync(new Sample(state), stop).ConfigureAwait(false);
            }
        }
    }

    private string NewInsertion()
    {
        DeviceTime now = context.Clock.Read();
        return string.Create(CultureInfo.InvariantCulture, $"{now.Wall:uuuuMMdd'T'HHmmss}-{now.Boot.Value:x16}-{now.MonotonicNanoseconds:x}");
    }

    private sealed class Sighting(ulong fingerprint, long since)
    {
        public ulong Fingerprint { get; } = fingerprint;

        public long Since { get; } = since;

        public string? DoneFor { get; set; }

        public long? RetryAt { get; set; }
    }
}
