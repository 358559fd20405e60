using KitMesh.Domain.Kit;

namespace KitMesh.Demo.Footage;

/// <summary>One card: a folder that is in a camera, or in the station's slot, or in a pocket.</summary>
public sealed class CardTruth
{
    internal CardTruth(Card card, string pocket)
    {
        Declared = card;
        Folder = Path.Combine(pocket, card.Id.Value.Replace(' ', '-'));
        Directory.CreateDirectory(Path.Combine(Folder, "CLIPS"));
    }

    /// <summary>What the trip file says of it.</summary>
    public Card Declared { get; }

    /// <summary>Where its files are now.</summary>
    public string Folder { get; private set; }

    /// <summary>Bytes on it.</summary>
    public long UsedBytes { get; internal set; }

    /// <summary>Clips on it.</summary>
    public int Clips { get; internal set; }

    /// <summary>Puts it into a slot of the station, or takes it out again.</summary>
    /// <param name="folder">The folder that it becomes.</param>
    public void MoveTo(string folder)
    {
        Directory.Move(Folder, folder);
        Folder = folder;
    }

    /// <summary>Formats it, as the camera's menu does.</summary>
    public void Format()
    {
        Directory.Delete(Path.Combine(Folder, "CLIPS"), recursive: true);
        Directory.CreateDirectory(Path.Combine(Folder, "CLIPS"));
        (UsedBytes, Clips) = (0, 0);
    }
}
