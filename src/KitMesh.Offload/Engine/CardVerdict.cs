namespace KitMesh.Offload.Engine;

/// <summary>Whether a card may be formatted, as far as this run can tell.</summary>
/// <param name="MayFormat">True only when every file on the card has its proven copies.</param>
/// <param name="Reasons">Why not, most important first; empty when it may.</param>
public sealed record CardVerdict(bool MayFormat, IReadOnlyList<string> Reasons);
