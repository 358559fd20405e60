using KitMesh.Storage.RollUps;

namespace KitMesh.Export.Tables;

/// <summary>The columns of each table, in their order in the files.</summary>
internal static class TableShapes
{
    private const string Since = "since 1970-01-01T00:00Z, as the mesh believes";

    internal static readonly IReadOnlyList<TableColumn<ReadingRow>> Readings =
    [
        TableColumn<ReadingRow>.Whole("time_unix_ns", "ns", Since, row => row.Time),
        TableColumn<ReadingRow>.Text("node", "who wrote it", row => row.Node),
        TableColumn<ReadingRow>.Text("epoch", "epoch of its journal", row => row.Epoch),
        TableColumn<ReadingRow>.Whole("sequence", "1", "number in its journal", row => row.Sequence),
        TableColumn<ReadingRow>.Text("kind", "kind of report", row => row.Kind),
        TableColumn<ReadingRow>.Text("item", "what it is about", row => row.Item),
        TableColumn<ReadingRow>.Text("sensor", "which of the item's sensors", row => row.Sensor),
        TableColumn<ReadingRow>.Text("quantity", "what was measured", row => row.Quantity),
        TableColumn<ReadingRow>.Text("unit", "unit of value (UCUM)", row => row.Unit),
        TableColumn<ReadingRow>.Number("value", "column unit", "the number", row => row.Value),
    ];

    internal static readonly IReadOnlyList<TableColumn<EventRow>> Reports =
    [
        TableColumn<EventRow>.Whole("time_unix_ns", "ns", Since, row => row.Time),
        TableColumn<EventRow>.Text("node", "who wrote it", row => row.Node),
        TableColumn<EventRow>.Text("epoch", "epoch of its journal", row => row.Epoch),
        TableColumn<EventRow>.Whole("sequence", "1", "number in its journal", row => row.Sequence),
        TableColumn<EventRow>.Text("kind", "kind of report", row => row.Kind),
        TableColumn<EventRow>.Text("item", "what it is about", row => row.Item),
        TableColumn<EventRow>.Text("text", "the report in words; its shape is not stable", row => row.Text),
        TableColumn<EventRow>.Text("clip", "hash of the clip", row => row.Clip),
        TableColumn<EventRow>.Text("card", "the card", row => row.Card),
        TableColumn<EventRow>.Text("insertion", "the card's visit", row => row.Insertion),
        TableColumn<EventRow>.Text("source", "camera or recorder", row => row.Source),
        TableColumn<EventRow>.Text("drive", "the drive", row => row.Drive),
        TableColumn<EventRow>.Text("path", "path on card or drive", row => row.Path),
        TableColumn<EventRow>.Text("word", "rule, reader, read-back level or failure", row => row.Word),
        TableColumn<EventRow>.Whole("size_bytes", "By", "bytes of the clip or copy; 0 without", row => row.Size),
        TableColumn<EventRow>.Number("length_s", "s", "running time; 0 where not told", row => row.LengthSeconds),
        TableColumn<EventRow>.Whole("recorded_unix_ns", "ns", "begin of the recording by the camera's clock; 0 where not told", row => row.Recorded),
        TableColumn<EventRow>.Whole("stands", "1", "alerts and faults: 1 raised, 0 cleared", row => row.Stands),
        TableColumn<EventRow>.Whole("recheck", "1", "proofs: 1 for a later reading", row => row.Recheck),
    ];

    internal static readonly IReadOnlyList<TableColumn<RollUpRow>> RollUps =
    [
        TableColumn<RollUpRow>.Whole("start_unix_ns", "ns", "begin of the hour since 1970-01-01T00:00Z", row => row.Start),
        TableColumn<RollUpRow>.Whole("span_s", "s", "length of the bucket", _ => 3600),
        TableColumn<RollUpRow>.Text("item", "what it is about", row => row.Series.Item.Value),
        TableColumn<RollUpRow>.Text("sensor", "which of the item's sensors", row => row.Series.Sensor),
        TableColumn<RollUpRow>.Text("quantity", "what was measured", row => row.Series.Quantity.ToString()),
        TableColumn<RollUpRow>.Text("unit", "unit of min, mean, max and last (UCUM)", row => ReportValues.Unit(row.Series.Quantity)),
        TableColumn<RollUpRow>.Whole("samples", "1", "readings inside", row => row.Hour.Samples),
        TableColumn<RollUpRow>.Number("known_s", "s", "for how long a value was known", row => row.Hour.Known.TotalSeconds),
        TableColumn<RollUpRow>.Number("min", "column unit", "least value that held", row => row.Hour.Min),
        TableColumn<RollUpRow>.Number("mean", "column unit", "mean over the time known", row => row.Hour.Mean),
        TableColumn<RollUpRow>.Number("max", "column unit", "greatest value that held", row => row.Hour.Max),
        TableColumn<RollUpRow>.Number("last", "column unit", "value at the end", row => row.Hour.Last),
    ];
}
