namespace KitMesh.Offload.Cards;

/// <summary>What is on a card.</summary>
/// <param name="Files">The files to copy, in ordinal order of their paths.</param>
/// <param name="PassedOver">What is no footage and is not copied: links, the system's own folders, with the reason.</param>
/// <param name="Unreadable">Folders and entries that could not be looked at. While there is one, nobody knows what is on the card.</param>
internal sealed record CardListing(
    IReadOnlyList<CardFile> Files,
    IReadOnlyList<CardRemark> PassedOver,
    IReadOnlyList<CardRemark> Unreadable)
{
    /// <summary>Bytes of all files.</summary>
    public long TotalBytes => Files.Sum(file => file.Size);
}
