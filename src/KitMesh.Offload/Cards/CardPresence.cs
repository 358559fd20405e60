namespace KitMesh.Offload.Cards;

/// <summary>What stands at a place where a card may be.</summary>
public enum CardPresence
{
    /// <summary>Nothing, or an empty folder with nothing mounted on it.</summary>
    Absent = 0,

    /// <summary>A card.</summary>
    Card = 1,

    /// <summary>A drive for copies: never taken for a card.</summary>
    Drive = 2,
}
