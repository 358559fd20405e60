using KitMesh.Domain;
using NodaTime;

namespace KitMesh.TripFile.Import;

/// <summary>How to read a logger's table.</summary>
/// <param name="Node">Who is said to have written the reports.</param>
/// <param name="Separator">Between columns.</param>
/// <param name="DecimalComma">Whether numbers have a comma.</param>
/// <param name="TimeColumn">Heading of the column with the time.</param>
/// <param name="TimeFormat">Its pattern such as uuuu-MM-dd HH:mm:ss; "iso" or "unix".</param>
/// <param name="Zone">Civil time that it is written in.</param>
/// <param name="Columns">What the other columns measure.</param>
public sealed record ImportMap(string Node, char Separator, bool DecimalComma, string TimeColumn, string TimeFormat, Offset Zone, ValueList<ImportColumn> Columns);
