using System.Globalization;
using Parquet;
using Parquet.Schema;

namespace KitMesh.Export.Tables;

/// <summary>One column of a table. Names, types and units are those of docs/analysis.md: added, never changed.</summary>
/// <typeparam name="TRow">The table's rows.</typeparam>
internal sealed class TableColumn<TRow>
{
    private readonly Func<TRow, long>? _whole;
    private readonly Func<TRow, double>? _number;
    private readonly Func<TRow, string>? _text;
    private readonly Dictionary<string, string> _metadata;

    private TableColumn(string name, string unit, string meaning, Func<TRow, long>? whole, Func<TRow, double>? number, Func<TRow, string>? text)
    {
        Name = name;
        _whole = whole;
        _number = number;
        _text = text;
        _metadata = new Dictionary<string, string> { ["unit"] = unit, ["meaning"] = meaning };
        Field = whole is not null ? new DataField<long>(name) : number is not null ? new DataField<double>(name) : new DataField<string>(name);
    }

    internal string Name { get; }

    internal DataField Field { get; }

    internal static TableColumn<TRow> Whole(string name, string unit, string meaning, Func<TRow, long> value) => new(name, unit, meaning, value, null, null);

    internal static TableColumn<TRow> Number(string name, string unit, string meaning, Func<TRow, double> value) => new(name, unit, meaning, null, value, null);

    /// <summary>Text has no unit: its metadata says "text".</summary>
    internal static TableColumn<TRow> Text(string name, string meaning, Func<TRow, string> value) => new(name, "text", meaning, null, null, value);

    internal async Task WriteAsync(ParquetRowGroupWriter group, IReadOnlyList<TRow> rows, CancellationToken cancellation)
    {
        if (_whole is { } whole)
        {
            await group.WriteAsync<long>(Field, (ReadOnlyMemory<long>)rows.Select(whole).ToArray(), null, _metadata, cancellation).ConfigureAwait(false);
        }
        else if (_number is { } number)
        {
            await group.WriteAsync<double>(Field, (ReadOnlyMemory<double>)rows.Select(number).ToArray(), null, _metadata, cancellation).ConfigureAwait(false);
        }
        else
        {
            ReadOnlyMemory<char>?[] texts = [.. rows.Select(row => (ReadOnlyMemory<char>?)_text!(row).AsMemory())];
            await group.WriteAsync<ReadOnlyMemory<char>>(Field, (ReadOnlyMemory<ReadOnlyMemory<char>?>)texts, null, _metadata, cancellation).ConfigureAwait(false);
        }
    }

    internal string Csv(TRow row) =>
        _whole is { } whole ? whole(row).ToString(CultureInfo.InvariantCulture)
        : _number is { } number ? number(row).ToString("R", CultureInfo.InvariantCulture)
        : Quote(_text!(row));

    private static string Quote(string text) =>
        text.AsSpan().IndexOfAny(",\"\r\n") < 0 ? text : $"\"{text.Replace("\"", "\"\"", StringComparison.Ordinal)}\"";
}
