using System.Globalization;
using KitMesh.Domain.Reports;

namespace KitMesh.Devices.BackupStation;

// The problem: a medium that hangs may hold whoever looks at it for ever, and a station must go on with all others. The
// method: each look has a thread of its own and is waited for no longer than patience; while it has not come back, that
// folder is not looked at again, so that a medium that hangs keeps one thread and not one for each look.

/// <summary>Looks at the folders of cards and drives without hanging with them.</summary>
internal sealed class PatientLooks(TimeSpan patience, TimeProvider time, FaultLatch faults)
{
    private readonly Dictionary<string, Task> _waiting = new(StringComparer.Ordinal);

    /// <summary>How long a look may take.</summary>
    public TimeSpan Patience => patience;

    /// <summary>Looks at a folder.</summary>
    /// <typeparam name="T">What is seen.</typeparam>
    /// <param name="folder">The folder.</param>
    /// <param name="item">The card or drive that a silence is told of.</param>
    /// <param name="look">The look; must not throw for what a medium does.</param>
    /// <param name="stop">Stops waiting.</param>
    /// <returns>What was seen; false when the folder does not answer.</returns>
    public async Task<(bool Answered, T? Seen)> TryAsync<T>(string folder, KitId item, Func<T> look, CancellationToken stop)
    {
        if (_waiting.TryGetValue(folder, out Task? before) && !before.IsCompleted)
        {
            return (false, default);
        }

        Task<T> now = Task.Factory.StartNew(look, CancellationToken.None, TaskCreationOptions.LongRunning, TaskScheduler.Default);
        _waiting[folder] = now;
        try
        {
            T seen = await now.WaitAsync(patience, time, stop).ConfigureAwait(false);
            await faults.ClearAsync($"silent {folder}", item, stop).ConfigureAwait(false);
            return (true, seen);
        }
        catch (TimeoutException)
        {
            string words = string.Create(CultureInfo.InvariantCulture, $"{item} at {folder} has not answered for {patience.TotalSeconds:0} s: check its cable and power. The station goes on without it until it answers.");
            await faults.RaiseAsync($"silent {folder}", item, words, default, stop).ConfigureAwait(false);
            return (false, default);
        }
    }
}
