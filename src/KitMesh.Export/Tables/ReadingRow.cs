namespace KitMesh.Export.Tables;

/// <summary>One number of one report.</summary>
internal readonly record struct ReadingRow(long Time, string Node, string Epoch, long Sequence, string Kind, string Item, string Sensor, string Quantity, string Unit, double Value);
