using KitMesh.Domain.Quantities;
using NodaTime;

namespace KitMesh.Footage.Risk;

/// <summary>What moves cost at a station. Measure your own with <c>kitmesh bench offload</c>; these are cautious figures for flash drives.</summary>
/// <param name="ReadBytesPerSecond">Reading from a drive.</param>
/// <param name="WriteBytesPerSecond">Writing to a drive.</param>
/// <param name="Station">What the station draws while it works.</param>
/// <param name="Drive">What each drive at work draws.</param>
/// <param name="Handling">Fetching and plugging a drive, or moving it to another case.</param>
public sealed record MoveCosts(double ReadBytesPerSecond, double WriteBytesPerSecond, Watts Station, Watts Drive, Duration Handling)
{
    /// <summary>250 MB/s reading, 200 MB/s writing, 25 W and 4 W a drive, 5 minutes: judgement, no published figure.</summary>
    public static readonly MoveCosts Cautious = new(250e6, 200e6, new(25), new(4), Duration.FromMinutes(5));

    /// <summary>Time to copy and read back.</summary>
    /// <param name="bytes">Bytes.</param>
    public Duration Copying(long bytes) =>
        Handling + Duration.FromSeconds((bytes / Math.Min(ReadBytesPerSecond, WriteBytesPerSecond)) + (bytes / ReadBytesPerSecond));

    /// <summary>Time to read again.</summary>
    /// <param name="bytes">Bytes.</param>
    public Duration Reading(long bytes) => Handling + Duration.FromSeconds(bytes / ReadBytesPerSecond);

    /// <summary>Energy while the station works with some drives.</summary>
    /// <param name="takes">How long.</param>
    /// <param name="drives">Drives at work.</param>
    public WattHours Energy(Duration takes, int drives) => new((Station.Value + (drives * Drive.Value)) * takes.TotalHours);
}
