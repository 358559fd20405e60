using KitMesh.Disk.Media;
using KitMesh.Offload.Cards;

namespace KitMesh.Offload.Engine;

/// <summary>What is known of a card before any of its footage is read.</summary>
/// <param name="Listing">Its files. What its own history names and it does not have counts as unreadable.</param>
/// <param name="History">The history that it comes with.</param>
/// <param name="Volume">Its file system.</param>
internal sealed record CardContent(CardListing Listing, CardHistory History, MediaVolume Volume)
{
    /// <summary>Looks at a card.</summary>
    /// <param name="root">Where it is mounted.</param>
    /// <exception cref="MediaFault">The root itself cannot be looked at.</exception>
    public static CardContent Of(string root)
    {
        var history = CardHistory.Read(root);
        CardListing listing = CardLister.List(root);
        return new CardContent(listing with { Unreadable = [.. listing.Unreadable, .. history.Missing(listing.Files)] }, history, MediaFolder.Volume(root));
    }
}
