using KitMesh.Domain.Quantities;

namespace KitMesh.Domain.Kit;

/// <summary>One point of a horizon line; between points the line is straight.</summary>
/// <param name="Heading">Clockwise from north, from 0 to below 360.</param>
/// <param name="Height">Angle of the skyline above level, from 0 to 90.</param>
public readonly record struct HorizonPoint(Degrees Heading, Degrees Height);
