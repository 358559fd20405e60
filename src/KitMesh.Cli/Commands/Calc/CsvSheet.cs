using System.Globalization;
using KitMesh.Cli.Frame;
using nietras.SeparatedValues;

namespace KitMesh.Cli.Commands.Calc;

/// <summary>
/// Reads a CSV file row by row and prints it again with computed columns added, as CSV or as one JSON object a line.
/// </summary>
/// <remarks>A computed column replaces a given one of the same name. Only one row is in memory.</remarks>
internal static class CsvSheet
{
    /// <summary>Runs a computation over every row.</summary>
    /// <param name="run">Where to print.</param>
    /// <param name="file">The file; its first line names the columns.</param>
    /// <param name="needed">Columns that must be there.</param>
    /// <param name="added">Columns that are computed, in order.</param>
    /// <param name="compute">The values of the added columns; null for a cell that does not apply.</param>
    public static void Run(CommandRun run, FileInfo file, string[] needed, string[] added, Func<CsvRow, double?[]> compute)
    {
        using SepReader reader = Sep.New(',').Reader(options => options with { Unescape = true, DisableColCountCheck = false }).FromFile(file.FullName);
        List<string> names = [.. reader.Header.ColNames];
        if (needed.Where(column => !names.Contains(column)).ToArray() is { Length: > 0 } missing)
        {
            throw CommandFault.BadInput(
                $"{file.Name} has no column {string.Join(", ", missing)}.",
                $"Its first line must name these columns: {string.Join(",", needed)}. It names: {string.Join(",", names)}.");
        }

        string[] kept = [.. names.Where(name => !added.Contains(name))];
        if (!run.Json)
        {
            run.Out.Line(string.Join(',', kept.Concat(added).Select(Quote)));
        }

        foreach (SepReader.Row row in reader)
        {
            run.Stop.ThrowIfCancellationRequested();
            Dictionary<string, string> cells = [];
            foreach (string name in names)
            {
                cells[name] = row[name].ToString();
            }

            var given = new CsvRow(file.Name, row.LineNumberFrom, cells);
            double?[] values = compute(given);
            Print(run, kept, added, given, values);
        }
    }

    private static void Print(CommandRun run, string[] kept, string[] added, CsvRow given, double?[] values)
    {
        if (run.Json)
        {
            Dictionary<string, object?> line = kept.ToDictionary(name => name, name => given.Value(name));
            for (int i = 0; i < added.Length; i++)
            {
                line.Add(added[i], values[i]);
            }

            run.Out.Json(line);
            return;
        }

        run.Out.Line(string.Join(',', kept.Select(name => Quote(given[name])).Concat(values.Select(Number))));
    }

    private static string Number(double? value) => value is { } number ? number.ToString("R", CultureInfo.InvariantCulture) : "";

    private static string Quote(string cell) =>
        cell.AsSpan().IndexOfAny("\",\r\n") < 0 ? cell : $"\"{cell.Replace("\"", "\"\"", StringComparison.Ordinal)}\"";
}
