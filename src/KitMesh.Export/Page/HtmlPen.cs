using System.Text;

namespace KitMesh.Export.Page;

/// <summary>Writes HTML; every text and every attribute's value is escaped here and nowhere else.</summary>
internal sealed class HtmlPen
{
    private readonly StringBuilder _page = new();
    private readonly Stack<string> _open = [];

    /// <summary>Opens an element.</summary>
    internal HtmlPen Open(string name, params ReadOnlySpan<(string Name, string Value)> attributes)
    {
        Tag(name, attributes);
        _page.Append('>');
        _open.Push(name);
        return this;
    }

    /// <summary>An element that holds nothing.</summary>
    internal HtmlPen Void(string name, params ReadOnlySpan<(string Name, string Value)> attributes)
    {
        Tag(name, attributes);
        _page.Append("/>");
        return this;
    }

    /// <summary>Text.</summary>
    internal HtmlPen Text(string text)
    {
        Escape(text);
        return this;
    }

    /// <summary>Closes the innermost element.</summary>
    internal HtmlPen Close()
    {
        _page.Append("</").Append(_open.Pop()).Append('>');
        if (_open.Count < 4)
        {
            _page.Append('\n');
        }

        return this;
    }

    /// <summary>An element with nothing but text.</summary>
    internal HtmlPen Line(string name, string text, params ReadOnlySpan<(string Name, string Value)> attributes) => Open(name, attributes).Text(text).Close();

    /// <summary>Our own style sheet, as it is.</summary>
    internal HtmlPen Style(string css)
    {
        _page.Append("<style>").Append(css).Append("</style>\n");
        return this;
    }

    /// <inheritdoc/>
    public override string ToString() => _page.ToString();

    private void Tag(string name, ReadOnlySpan<(string Name, string Value)> attributes)
    {
        _page.Append('<').Append(name);
        foreach ((string attribute, string value) in attributes)
        {
            _page.Append(' ').Append(attribute).Append("=\"");
            Escape(value);
            _page.Append('"');
        }
    }

    private void Escape(string text)
    {
        foreach (Rune rune in text.EnumerateRunes())
        {
            switch (rune.Value)
            {
                case '&':
                    _page.Append("&amp;");
                    break;
                case '<':
                    _page.Append("&lt;");
                    break;
                case '>':
                    _page.Append("&gt;");
                    break;
                case '"':
                    _page.Append("&quot;");
                    break;
                case '\'':
                    _page.Append("&#39;");
                    break;
                default:
                    // Control characters have no place in HTML; direction marks of a name must not turn the rest of a line.
                    bool hidden = Rune.IsControl(rune) || rune.Value is >= 0x202A and <= 0x202E or >= 0x2066 and <= 0x2069;
                    _page.Append(hidden ? "\uFFFD" : rune.ToString());
                    break;
            }
        }
    }
}
