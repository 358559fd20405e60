using System.Globalization;
using KitMesh.Cli.Frame;

namespace KitMesh.Cli.Commands.Calc;

/// <summary>One row of a CSV file, with where it stands for error texts.</summary>
internal sealed class CsvRow(string file, int line, IReadOnlyDictionary<string, string> cells)
{
    public string this[string column] => cells.GetValueOrDefault(column, "");

    /// <summary>Whether a column is there and not empty in this row.</summary>
    public bool Has(string column) => this[column].Length > 0;

    /// <summary>The cell as a number where it is one, else as text, else null.</summary>
    public object? Value(string column) =>
        !Has(column) ? null
        : double.TryParse(this[column], NumberStyles.Float, CultureInfo.InvariantCulture, out double number) ? number
        : this[column];

    /// <summary>A number within a range.</summary>
    public double Number(string column, double least, double most, double? standard = null)
    {
        if (!Has(column) && standard is { } otherwise)
        {
            return otherwise;
        }

        if (double.TryParse(this[column], NumberStyles.Float, CultureInfo.InvariantCulture, out double value) && value >= least && value <= most)
        {
            return value;
        }

        throw CommandFault.BadInput(string.Create(
            CultureInfo.InvariantCulture,
            $"{file}, line {line}: column {column} must be a number from {least} to {most}, not \"{this[column]}\"."));
    }

    /// <summary>A fault in this row.</summary>
    public CommandFault Fault(string column, string why) => CommandFault.BadInput($"{file}, line {line}: column {column}: {why}");
}
