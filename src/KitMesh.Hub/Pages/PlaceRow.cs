namespace KitMesh.Hub.Pages;

/// <summary>Where one thing is.</summary>
/// <param name="Name">The thing.</param>
/// <param name="Into">What holds it.</param>
/// <param name="Since">Since when.</param>
/// <param name="Author">Who said so.</param>
public sealed record PlaceRow(string Name, string Into, string Since, string Author);
