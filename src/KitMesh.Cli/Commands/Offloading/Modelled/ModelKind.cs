namespace KitMesh.Cli.Commands.Offloading.Modelled;

/// <summary>A kind of drive to measure on.</summary>
/// <param name="Name">Its name.</param>
/// <param name="WritePerSecond">Bytes a second while it takes them.</param>
/// <param name="ReadPerSecond">Bytes a second while it gives them.</param>
/// <param name="SeekMilliseconds">What a jump costs.</param>
/// <param name="FastBytes">Bytes after which writing falls to the slow rate; 0 for never.</param>
/// <param name="SlowPerSecond">Bytes a second after that.</param>
internal sealed record ModelKind(string Name, long WritePerSecond, long ReadPerSecond, double SeekMilliseconds, long FastBytes, long SlowPerSecond)
{
    /// <summary>Drives that lie on one device of this kind.</summary>
    public int Folders { get; init; } = 1;

    /// <summary>The kinds. Rates as the aims name them; the seek is common practice for portable drives, no source.</summary>
    public static readonly IReadOnlyList<ModelKind> All =
    [
        new("flash", 200_000_000, 250_000_000, 0, 0, 0),
        new("one-head", 200_000_000, 250_000_000, 10, 0, 0),
        new("shared-head", 200_000_000, 250_000_000, 10, 0, 0) { Folders = 2 },
        new("shingled", 130_000_000, 130_000_000, 10, 300_000_000, 30_000_000),
    ];

    /// <summary>The least time to write and read back some bytes.</summary>
    /// <param name="bytes">How many.</param>
    public double FloorSeconds(long bytes)
    {
        bytes *= Folders;
        long fast = FastBytes == 0 ? bytes : Math.Min(FastBytes, bytes);
        return ((double)fast / WritePerSecond) + (bytes > fast ? (double)(bytes - fast) / SlowPerSecond : 0) + ((double)bytes / ReadPerSecond);
    }
}
