using System.Globalization;
using KitMesh.Cli.Frame;
using nietras.SeparatedValues;

namespace KitMesh.Cli.Commands.Calc;

/// <summary>Streams a table through a computation.</summary>
internal static class CalcTable
{
    private const string ErrorColumn = "error";

    public static ExitCode Run(CalcVerb verb, CommandRun run, FileInfo file)
    {
        if (!file.Exists)
        {
            throw CommandFault.BadInput($"There is no file {file.FullName}.", "Check the path behind --csv.");
        }

        using SepReader reader = Open(file);
        string[] columns = [.. reader.Header.ColNames.Select(name => name.Trim('\uFEFF', ' '))];
        CalcColumn? missing = verb.Inputs.FirstOrDefault(column => column.Standard is null && !columns.Contains(column.Name));
        if (missing is not null)
        {
            throw CommandFault.BadInput($"{file.Name} has no column {missing.Name}.", $"calc {verb.Name} reads columns with a comma between: {string.Join(", ", verb.Inputs.Select(column => column.Name))}.");
        }

        verb.Expect(columns);

        // An input that is also an output is not repeated twice; an earlier run's error column is replaced.
        string[] kept = [.. columns.Where(column => !verb.Outputs.Contains(column) && column != ErrorColumn)];
        if (!run.Json)
        {
            run.Out.Line(string.Join(',', kept.Concat(verb.Outputs).Append(ErrorColumn).Select(Quote)));
        }

        int failed = 0;
        foreach (SepReader.Row row in reader)
        {
            run.Stop.ThrowIfCancellationRequested();
            failed += One(verb, run, columns, kept, Cells(row, columns.Length)) ? 0 : 1;
        }

        if (failed > 0)
        {
            run.Talk.Say($"{(failed == 1 ? "1 row" : $"{failed} rows")} could not be computed; the column {ErrorColumn} says why.");
        }

        return failed > 0 ? ExitCode.BadNews : ExitCode.Good;
    }

    /// <summary>A value as a table shows it: invariant, twelve significant digits, empty for none.</summary>
    public static string Text(object? value) => value switch
    {
        null => "",
        double number => number.ToString("G12", CultureInfo.InvariantCulture),
        bool truth => truth ? "true" : "false",
        IFormattable formattable => formattable.ToString(null, CultureInfo.InvariantCulture),
        _ => value.ToString() ?? "",
    };

    // The reader refuses a header that names a column twice: which of the two is meant cannot be known.
    private static SepReader Open(FileInfo file)
    {
        try
        {
            return Sep.New(',').Reader(options => options with { Unescape = true, DisableColCountCheck = true }).FromFile(file.FullName);
        }
        catch (ArgumentException fault)
        {
            throw CommandFault.BadInput($"{file.Name}: {fault.Message}.", "Name every column once.", fault);
        }
    }

    private static string?[] Cells(SepReader.Row row, int count)
    {
        var cells = new string?[count];
        for (int i = 0; i < count; i++)
        {
            cells[i] = i < row.ColCount ? row[i].ToString() : null;
        }

        return cells;
    }

    private static bool One(CalcVerb verb, CommandRun run, string[] columns, string[] kept, string?[] cells)
    {
        string? Cell(string name)
        {
            int at = Array.IndexOf(columns, name);
            string? text = at < 0 ? null : cells[at];
            return string.IsNullOrWhiteSpace(text) ? verb.Inputs.First(column => column.Name == name).Standard : text;
        }

        CalcAnswer answer = verb.Answer(new CalcRow(Cell), out string error);
        IEnumerable<(string, object?)> inputs = kept.Select(name => (name, (object?)(cells[Array.IndexOf(columns, name)] ?? "")));
        if (run.Json)
        {
            run.Out.Json(verb.Shape(inputs, answer, error));
        }
        else
        {
            run.Out.Line(string.Join(',', inputs.Select(cell => Quote(Text(cell.Item2))).Concat(answer.Cells.Select(cell => Quote(Text(cell)))).Append(Quote(error))));
        }

        return error.Length == 0;
    }

    private static string Quote(string text) =>
        text.AsSpan().IndexOfAny(",\"\n\r") < 0 ? text : $"\"{text.Replace("\"", "\"\"", StringComparison.Ordinal)}\"";
}
