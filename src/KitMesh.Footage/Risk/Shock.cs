using KitMesh.Domain;

namespace KitMesh.Footage.Risk;

/// <summary>Something that takes several drives at once: a case in a river, a bad batch, a fall.</summary>
/// <param name="Name">What it is, for people.</param>
/// <param name="Chance">The chance that it happens, from 0 to 1, independent of all other shocks.</param>
/// <param name="Drives">The drives that it takes, by their numbers in the model.</param>
public sealed record Shock(string Name, double Chance, ValueList<int> Drives);
