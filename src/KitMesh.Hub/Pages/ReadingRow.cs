namespace KitMesh.Hub.Pages;

/// <summary>The newest reading of one thing.</summary>
/// <param name="Name">The thing.</param>
/// <param name="Words">What was read.</param>
/// <param name="Age">How old it is, in words.</param>
public sealed record ReadingRow(string Name, string Words, string Age);
