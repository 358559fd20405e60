namespace KitMesh.Hub.Pages;

/// <summary>What the page "Morning" shows.</summary>
/// <param name="Head">The top of the page.</param>
/// <param name="Devices">Cameras and recorders, by team.</param>
/// <param name="CarryWarm">What rides against the body and why.</param>
/// <param name="Packs">Whether each bank may take charge this morning.</param>
public sealed record MorningModel(PageHead Head, IReadOnlyList<MorningRow> Devices, IReadOnlyList<string> CarryWarm, IReadOnlyList<string> Packs);
