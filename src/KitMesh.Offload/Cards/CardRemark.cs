namespace KitMesh.Offload.Cards;

/// <summary>Something about one entry of a card.</summary>
/// <param name="Path">Path on the card, fit to show.</param>
/// <param name="Reason">What, for a person.</param>
public sealed record CardRemark(string Path, string Reason);
