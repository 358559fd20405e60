namespace KitMesh.Simulation.Checkers;

/// <summary>A world that broke a promise.</summary>
internal sealed class WorldFault(string words) : Exception(words);
