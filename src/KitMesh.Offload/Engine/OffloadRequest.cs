using KitMesh.Domain.Reports;
using KitMesh.Offload.Drives;
using KitMesh.Offload.Hashing;
using KitMesh.Offload.Names;

namespace KitMesh.Offload.Engine;

/// <summary>One card and where it goes.</summary>
/// <param name="CardRoot">Where the card is mounted; only ever read.</param>
/// <param name="Card">The card.</param>
/// <param name="Insertion">Names this visit of the card.</param>
/// <param name="Source">The camera or recorder, where known.</param>
/// <param name="Drives">The drives, from 1 to 16.</param>
/// <param name="CopiesWanted">Proven copies on different drives before the card may be formatted, from 1.</param>
public sealed record OffloadRequest(
    string CardRoot,
    KitId Card,
    KitId Insertion,
    KitId? Source,
    IReadOnlyList<DriveTarget> Drives,
    int CopiesWanted)
{
    /// <summary>The most drives of one offload.</summary>
    public const int MaxDrives = 16;

    /// <summary>How long one call to a medium may take where nobody said otherwise.</summary>
    public static readonly TimeSpan UsualPatience = TimeSpan.FromMinutes(4);

    /// <summary>Where files go on a drive. Default: day, source, card, path.</summary>
    public PathTemplate Template { get; init; } = PathTemplate.Default;

    /// <summary>Hashes to take beside XXH3-128. Default: none.</summary>
    public IReadOnlyList<HashKind> ExtraHashes { get; init; } = [];

    /// <summary>Read and hash the whole card even where size, times and samples say that a copy is known. Default: no.</summary>
    public bool RereadKnown { get; init; }

    /// <summary>Give a drive that cannot hold all the whole days that fit. Default: no; such a drive then gets nothing.</summary>
    public bool FitDays { get; init; }

    /// <summary>When copies are read back. Default: as the drive says of itself.</summary>
    public ReadBackOrder Order { get; init; } = ReadBackOrder.Automatic;

    /// <summary>Whether drives on one disk take turns in writing. Default: where the disk says that it spins and read-back does not overlap.</summary>
    public bool? Turns { get; init; }

    /// <summary>Go on with the other drives when one cannot be opened, as a station must. Default: no; nothing is begun then.</summary>
    public bool GoOnWithout { get; init; }

    /// <summary>Make the card's mount read-only first, where it is a mount and this user may. Default: no.</summary>
    public bool ProtectCard { get; init; }

    /// <summary>
    /// How long a drive or the card may leave one call unanswered before the offload goes on without it; 1 s to 1 h. Default: 4 min, since
    /// the kernel gives a request up after about 3 (common practice, no source) and says so better.
    /// </summary>
    public TimeSpan Patience { get; init; } = UsualPatience;

    /// <summary>Write a manifest (ASC MHL) of each run on each drive. Default: yes.</summary>
    public bool Manifests { get; init; } = true;
}
