using NodaTime;

namespace KitMesh.Offload.Cards;

/// <summary>One file on a card, as the listing found it.</summary>
/// <param name="Path">Path on the card, with '/' between its parts, and escaped bytes where a name is no text.</param>
/// <param name="FullPath">Where it can be opened.</param>
/// <param name="Size">Bytes.</param>
/// <param name="ModifiedNanoseconds">Last write, nanoseconds since 1970 UTC, as the card tells it.</param>
/// <param name="ChangedNanoseconds">Last change of the entry, nanoseconds since 1970 UTC.</param>
internal sealed record CardFile(string Path, string FullPath, long Size, long ModifiedNanoseconds, long ChangedNanoseconds)
{
    /// <summary>Bytes up to which a file is small: read in one piece, and written through the page cache, where one flush serves many.</summary>
    public const int Small = 1 << 20;

    /// <summary>Whether it is small.</summary>
    public bool IsSmall => Size <= Small;

    /// <summary>Last write as an instant.</summary>
    public Instant Modified { get; } = NodaConstants.UnixEpoch + Duration.FromNanoseconds(ModifiedNanoseconds);

    /// <summary>The path fit to show and to store.</summary>
    public string Shown { get; } = Disk.Media.RawName.Shown(Path);
}
