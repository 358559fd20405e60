using System.Globalization;
using KitMesh.Devices.Mapping;
using KitMesh.Domain.Reports;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Devices.CsvLog;

/// <summary>Makes readings of the rows of a logger's file. The header decides where the columns are, anew in each file.</summary>
internal sealed class CsvRows
{
    private static readonly CultureInfo CommaNumbers = MakeCommaNumbers();

    private readonly CsvLogOptions _options;
    private string[]? _header;

    public CsvRows(CsvLogOptions options)
    {
        _options = options;
        _header = options.Header is { } given ? Cells(given) : null;
    }

    /// <summary>Takes the header of a file whose rows were read before a restart.</summary>
    public void TakeHeader(string line) => _header ??= Cells(line);

    /// <summary>Forgets the header, since another file begins.</summary>
    public void StartFile() => _header = _options.Header is { } given ? Cells(given) : null;

    /// <summary>Judges one line.</summary>
    public string? Judge(string line, ICollection<Sample> samples)
    {
        if (string.IsNullOrWhiteSpace(line))
        {
            return null;
        }

        string[] cells = Cells(line);
        if (_header is null || IsHeader(cells))
        {
            _header = cells;
            return _options.Columns.FirstOrDefault(c => Array.IndexOf(_header, c.Header) < 0) is { } lacking
                ? $"the header has no column \"{lacking.Header}\""
                : null;
        }

        var set = new ReadingSet();
        string? complaint = Fill(set, cells) ?? Time(cells, out Instant? _);
        if (complaint is null)
        {
            Time(cells, out Instant? taken);
            foreach (ReportBody body in set.Bodies())
            {
                samples.Add(new Sample(body, taken));
            }
        }

        return complaint;
    }

    private string? Fill(ReadingSet set, string[] cells)
    {
        foreach (CsvColumn column in _options.Columns)
        {
            int at = Array.IndexOf(_header!, column.Header);
            if (at < 0 || _options.Subjects.Find(column.Meaning.Target, column.Meaning.Index) is not { } subject)
            {
                continue;
            }

            if (at >= cells.Length)
            {
                return $"the row has {cells.Length} cells, too few for \"{column.Header}\"";
            }

            if (cells[at].Length == 0)
            {
                continue;
            }

            if (!double.TryParse(cells[at], NumberStyles.Float, _options.DecimalComma ? CommaNumbers : CultureInfo.InvariantCulture, out double number)
                || !double.IsFinite(number))
            {
                return $"\"{cells[at]}\" in \"{column.Header}\" is no number";
            }

            set.Set(column.Meaning.Target, subject, column.Meaning.Field, column.Unit.Convert(number * column.Scale), column.Header);
        }

        return null;
    }

    private string? Time(string[] cells, out Instant? taken)
    {
        taken = null;
        if (_options.TimeColumn is not { } name)
        {
            return null;
        }

        int at = Array.IndexOf(_header!, name);
        if (at < 0 || at >= cells.Length)
        {
            return $"the row has no \"{name}\"";
        }

        ParseResult<LocalDateTime> parsed = _options.TimePattern.Parse(cells[at]);
        if (!parsed.Success)
        {
            return $"\"{cells[at]}\" in \"{name}\" is no time as the agent file describes it";
        }

        taken = parsed.Value.WithOffset(_options.TimeOffset).ToInstant();
        return null;
    }

    private bool IsHeader(string[] cells) => _options.Columns.All(c => Array.IndexOf(cells, c.Header) >= 0);

    // RFC 4180: quotes around a cell, doubled inside; a logger's lines never break inside a cell.
    private string[] Cells(string line)
    {
        var cells = new List<string>();
        var cell = new System.Text.StringBuilder();
        bool quoted = false;
        for (int i = 0; i < line.Length; i++)
        {
            char c = line[i];
            if (quoted && c == '"' && i + 1 < line.Length && line[i + 1] == '"')
            {
                cell.Append('"');
                i++;
            }
            else if (c == '"')
            {
                quoted = !quoted;
            }
            else if (c == _options.Separator && !quoted)
            {
                cells.Add(cell.ToString().Trim());
                cell.Clear();
            }
            else
            {
                cell.Append(c);
            }
        }

        cells.Add(cell.ToString().Trim().TrimStart('\uFEFF'));
        cells[0] = cells[0].TrimStart('\uFEFF');
        return [.. cells];
    }

    private static CultureInfo MakeCommaNumbers()
    {
        var culture = (CultureInfo)CultureInfo.InvariantCulture.Clone();
        culture.NumberFormat.NumberDecimalSeparator = ",";
        culture.NumberFormat.NumberGroupSeparator = ".";
        return culture;
    }
}
