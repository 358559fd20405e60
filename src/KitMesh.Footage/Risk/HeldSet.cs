using KitMesh.Domain;

namespace KitMesh.Footage.Risk;

/// <summary>Clips with the same copies.</summary>
/// <param name="Drives">The drives that hold a copy of each, by their numbers in the model; empty when none does.</param>
/// <param name="Errors">For each drive, the chance that the copy of one clip cannot be read though the drive lives.</param>
/// <param name="Clips">How many clips.</param>
/// <param name="Card">The card that holds them too, by its number in the model; -1 when none does.</param>
public sealed record HeldSet(ValueList<int> Drives, ValueList<double> Errors, long Clips, int Card = -1);
