namespace KitMesh.Export.Page;

/// <summary>A table of a page.</summary>
/// <param name="Heads">Column headings; a leading <c>&gt;</c> aligns numbers to the right, a leading <c>!</c> keeps a column on one line.</param>
internal sealed record PageTable(params string[] Heads)
{
    private readonly List<string[]> _rows = [];
    private string[]? _foot;

    internal bool IsEmpty => _rows.Count == 0;

    internal void Row(params string[] cells) => _rows.Add(cells);

    internal void Foot(params string[] cells) => _foot = cells;

    /// <summary>Draws it, or says in words that there is nothing.</summary>
    internal void Draw(HtmlPen pen, string nothing)
    {
        if (IsEmpty)
        {
            pen.Line("p", nothing);
            return;
        }

        // A column that says nothing only makes the paper too narrow.
        int[] told = [.. Enumerable.Range(0, Heads.Length).Where(column => column == 0 || _rows.Any(row => row[column] is not ("–" or "")))];
        pen.Open("div", ("class", "wide")).Open("table").Open("thead").Open("tr");
        foreach (string head in told.Select(column => Heads[column]))
        {
            pen.Line("th", head.TrimStart('>', '!'), ("scope", "col"), ("class", Class(head)));
        }

        pen.Close().Close().Open("tbody");
        foreach (string[] row in _rows)
        {
            Cells(pen, row, told);
        }

        pen.Close();
        if (_foot is { } foot)
        {
            pen.Open("tfoot");
            Cells(pen, foot, told);
            pen.Close();
        }

        pen.Close().Close();
        string[] untold = [.. Enumerable.Range(0, Heads.Length).Except(told).Select(column => Heads[column].TrimStart('>', '!')).Where(head => head is not "for")];
        if (untold.Length > 0)
        {
            pen.Line("p", $"Not measured: {string.Join(", ", untold)}.", ("class", "small"));
        }
    }

    private static string Class(string head) => head[0] switch { '>' => "n", '!' => "t", _ => "w" };

    private void Cells(HtmlPen pen, string[] row, int[] told)
    {
        pen.Open("tr");
        foreach (int i in told)
        {
            pen.Line("td", row[i], ("class", Class(Heads[i])));
        }

        pen.Close();
    }
}
