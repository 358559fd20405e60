using System.Globalization;

namespace KitMesh.Tests.Published;

/// <summary>A table of published or independently computed values that tests run over, row by row.</summary>
public sealed class PublishedTable
{
    private readonly string[] _columns;

    private PublishedTable(string[] columns, IReadOnlyList<PublishedRow> rows)
    {
        _columns = columns;
        Rows = rows;
    }

    public IReadOnlyList<PublishedRow> Rows { get; }

    public static PublishedTable Load(string file)
    {
        string[] lines = File.ReadAllLines(Path.Combine(AppContext.BaseDirectory, "Published", file));
        string[] columns = Fields(lines[0]);
        PublishedRow[] rows = [.. lines.Skip(1).Where(line => line.Length > 0).Select(line => new PublishedRow(columns, Fields(line)))];
        return new PublishedTable(columns, rows);
    }

    public int Count => Rows.Count;

    public override string ToString() => string.Join(',', _columns);

    private static string[] Fields(string line)
    {
        var fields = new List<string>();
        var field = new System.Text.StringBuilder();
        bool quoted = false;
        foreach (char c in line)
        {
            if (c == '"')
            {
                quoted = !quoted;
            }
            else if (c == ',' && !quoted)
            {
                fields.Add(field.ToString());
                field.Clear();
            }
            else
            {
                field.Append(c);
            }
        }

        fields.Add(field.ToString());
        return [.. fields];
    }
}

/// <summary>One row by column name; the column "inputs" holds pairs "name=value" that can be read by name as well.</summary>
public sealed class PublishedRow
{
    private readonly Dictionary<string, string> _cells = [];

    public PublishedRow(string[] columns, string[] fields)
    {
        for (int i = 0; i < columns.Length && i < fields.Length; i++)
        {
            _cells[columns[i]] = fields[i];
        }

        if (_cells.TryGetValue("inputs", out string? inputs))
        {
            foreach (string pair in inputs.Split(';'))
            {
                string[] parts = pair.Split('=', 2);
                _cells.TryAdd(parts[0].Trim(), parts.Length > 1 ? parts[1] : "");
            }
        }
    }

    public string this[string column] => _cells[column];

    public bool Has(string column) => _cells.ContainsKey(column);

    public double Number(string column) => double.Parse(_cells[column].Split('(')[0], CultureInfo.InvariantCulture);

    public double Number(string column, double otherwise) => Has(column) ? Number(column) : otherwise;

    public double Expected => Number("expected");

    public override string ToString() => string.Join(',', _cells.Values);
}
