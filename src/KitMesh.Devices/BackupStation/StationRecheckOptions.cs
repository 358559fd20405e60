using KitMesh.Devices.Options;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Devices.BackupStation;

/// <summary>When a station reads copies again by itself.</summary>
/// <param name="Trip">Trip file whose copy rules declare the recheck age; null when <paramref name="Age"/> tells.</param>
/// <param name="Age">A copy not proven for longer is due. 1 h to 400 d; null: as the trip file declares.</param>
/// <param name="Ahead">How long before that it is read already. 0 to 30 d; default 1 d.</param>
/// <param name="Every">Time between two looks for due copies, by world time. 1 s to 7 d; default 1 h. A drive that comes is looked at at once.</param>
/// <param name="Energy">What may be spent in a day, all drives together. 0.01 to 10,000 Wh; null for no limit.</param>
/// <param name="Cost">What a gigabyte costs to read until it was measured. 1 to 100,000 J; default 100 J (common practice, no source).</param>
/// <param name="Bank">The bank that must hold enough, as another reader of this agent reports it; null: not asked.</param>
/// <param name="LeastCharge">Charge below which nothing is rechecked. 0 to 100 %; default 50 %.</param>
internal sealed record StationRecheckOptions(
    string? Trip,
    Duration? Age,
    Duration Ahead,
    TimeSpan Every,
    WattHours? Energy,
    JoulesPerGigabyte Cost,
    KitId? Bank,
    StateOfCharge LeastCharge)
{
    private static readonly TimeSpan Never = TimeSpan.Zero;

    /// <summary>Reads the section; null when there is none: then nothing is rechecked by itself.</summary>
    /// <param name="map">The reader's part of the agent file.</param>
    public static StationRecheckOptions? Read(OptionMap map)
    {
        if (map.Child("recheck") is not { } recheck)
        {
            return null;
        }

        TimeSpan age = recheck.Time("age", TimeSpan.FromHours(1), TimeSpan.FromDays(400), Never);
        string? trip = recheck.OptionalText("trip");
        if ((age == Never) == (trip is null))
        {
            recheck.AddProblem("age", "It must be told when a copy is due.", "Give either \"age:\" (such as 14 d) or \"trip:\" with the trip file whose copy rules say recheckAge.");
        }

        var options = new StationRecheckOptions(
            trip is null ? null : Path.GetFullPath(trip, Path.GetDirectoryName(Path.GetFullPath(map.File)) ?? "/"),
            age == Never ? null : Duration.FromTimeSpan(age),
            Duration.FromTimeSpan(recheck.Time("ahead", TimeSpan.Zero, TimeSpan.FromDays(30), TimeSpan.FromDays(1))),
            recheck.Time("every", TimeSpan.FromSeconds(1), TimeSpan.FromDays(7), TimeSpan.FromHours(1)),
            recheck.Has("energy") ? new WattHours(recheck.Number("energy", "Wh", 0.01, 10_000, null)) : null,
            new JoulesPerGigabyte(recheck.Number("joulesPerGb", "J", 1, 100_000, 100)),
            recheck.OptionalKit("bank"),
            new StateOfCharge(recheck.Number("leastCharge", "%", 0, 100, 50) / 100));
        recheck.RefuseUnknownKeys();
        return options;
    }
}
