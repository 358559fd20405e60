namespace KitMesh.Export.Tables;

/// <summary>One row of a table: one number of one report, or one report without numbers.</summary>
/// <param name="TimeUnixNanoseconds">When it was written, as the mesh believes.</param>
/// <param name="Node">Who wrote it.</param>
/// <param name="Epoch">The epoch of its journal, 16 hexadecimal digits.</param>
/// <param name="Sequence">Its number there.</param>
/// <param name="Kind">The kind of report.</param>
/// <param name="Item">What it is about; empty for the trip.</param>
/// <param name="Sensor">Which sensor; empty where there is one.</param>
/// <param name="Quantity">What was measured; empty in the table of reports.</param>
/// <param name="Unit">Its unit (UCUM); empty in the table of reports.</param>
/// <param name="Value">The number; 0 in the table of reports.</param>
/// <param name="Text">The report in words; empty in the table of readings.</param>
internal readonly record struct TableRow(
    long TimeUnixNanoseconds, string Node, string Epoch, long Sequence, string Kind, string Item, string Sensor, string Quantity, string Unit, double Value, string Text);
