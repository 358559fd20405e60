using KitMesh.Disk;
using NodaTime;

namespace KitMesh.Hub.SelfTest;

// Problem: a hub that fails on the mountain was usually broken before it was packed: a full disk, a folder of another user,
// a dead clock, a root that ends during the trip. Method: look at everything that a start needs, without starting, and say
// all of it at once. Trap: looking must change nothing. Opening a journal mends it and begins a segment, so here it is opened
// over a disk that keeps all changes in memory (UntouchedDisk); a root is not made, a port is taken for a blink and given back.

/// <summary>Looks at all that a hub needs before it is started, or beside one that runs.</summary>
public static class HubSelfTest
{
    /// <summary>The check of the trip file, by which a wrong file is told from a wrong machine.</summary>
    public const string TripFile = "trip file";

    /// <summary>All lines, in the order in which a start would meet them.</summary>
    /// <param name="options">How the hub would run; <see cref="HubOptionsCheck"/> has nothing against them.</param>
    /// <param name="clocks">Its clocks.</param>
    /// <param name="cancellation">Gives up.</param>
    public static Task<IReadOnlyList<CheckLine>> RunAsync(HubOptions options, HubClocks clocks, CancellationToken cancellation)
    {
        ArgumentNullException.ThrowIfNull(options);
        ArgumentNullException.ThrowIfNull(clocks);
        return RunAsync(options, clocks, new PhysicalDisk(), cancellation);
    }

    internal static async Task<IReadOnlyList<CheckLine>> RunAsync(HubOptions options, HubClocks clocks, IDisk disk, CancellationToken cancellation)
    {
        JournalLook journal = JournalLook.At(disk, options);
        Instant now = clocks.World.GetCurrentInstant();
        List<CheckLine> lines =
        [
            FolderCheck.Look(disk, options.DataFolder, clocks.Machine),
            RoomCheck.Look(disk, options.DataFolder),
            journal.Line,
            .. await StoreCheck.LookAsync(options, clocks, cancellation).ConfigureAwait(false),
            ClockCheck.Look(now, journal.LastArrival),
            .. IdentityCheck.Look(options, now),
            TripCheck.Look(options.TripFile, now),
            ListenCheck.Look(options.Listen, journal.IsBusy),
        ];
        foreach (Uri hub in options.Hubs)
        {
            cancellation.ThrowIfCancellationRequested();
            lines.Add(await LinkCheck.LookAsync(hub, clocks.Machine, cancellation).ConfigureAwait(false));
        }

        return lines;
    }
}
