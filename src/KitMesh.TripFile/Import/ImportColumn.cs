using KitMesh.Domain.Reports;

namespace KitMesh.TripFile.Import;

/// <summary>One column of a logger's table and what it measures.</summary>
/// <param name="Column">Its heading.</param>
/// <param name="Item">The thing, as the trip file calls it.</param>
/// <param name="Quantity">What is measured.</param>
/// <param name="Factor">Turns the column's number into the quantity's unit.</param>
/// <param name="Offset">Added after that: for degrees Fahrenheit.</param>
public sealed record ImportColumn(string Column, KitId Item, ImportQuantity Quantity, double Factor, double Offset);
