namespace KitMesh.Hub.Pages;

/// <summary>One agent or hub and how it does.</summary>
/// <param name="Name">The node.</param>
/// <param name="Heard">When its newest report was written.</param>
/// <param name="Age">How long ago, in words.</param>
/// <param name="Clock">How its clock stands, in words.</param>
/// <param name="Battery">Its own battery, in words.</param>
/// <param name="Waiting">Reports that it still has to deliver, as it said last.</param>
/// <param name="Disk">Room that is left where it keeps its journal.</param>
public sealed record NodeRow(string Name, string Heard, string Age, string Clock, string Battery, string Waiting, string Disk);
