using System.Text;
using System.Text.Json;
using KitMesh.Hub.Json;
using Spectre.Console;
using Spectre.Console.Rendering;

namespace KitMesh.Cli.Frame;

/// <summary>Stdout: the data that was asked for, drawn for a person or printed as JSON.</summary>
internal sealed class DataOut
{
    private const int PipedWidth = 120;
    private const int LeastWidth = 40;
    private const int MostWidth = 100;

    private readonly TextWriter _stream;

    public DataOut(Surroundings surroundings)
    {
        _stream = surroundings.OutputStream;
        Console = AnsiConsole.Create(new AnsiConsoleSettings
        {
            Ansi = surroundings.Colour ? AnsiSupport.Detect : AnsiSupport.No,
            ColorSystem = surroundings.Colour ? ColorSystemSupport.Detect : ColorSystemSupport.NoColors,
            Interactive = InteractionSupport.No,
            Out = new AnsiConsoleOutput(_stream),
        });
        if (!surroundings.OutputIsTerminal)
        {
            Console.Profile.Width = PipedWidth;
        }
    }

    /// <summary>The console that draws; without colour and control codes when piped or when NO_COLOR is set.</summary>
    public IAnsiConsole Console { get; }

    /// <summary>One JSON value on one line.</summary>
    /// <param name="value">A record whose property names carry units (energyWh, temperatureC).</param>
    public void Json<T>(T value)
    {
        // In pieces: the verdict on a card of thousands of clips is megabytes of text, which need not all be in memory.
        using (var pieces = new TextPieces(_stream))
        {
            JsonSerializer.Serialize(pieces, value, ResultJson.Options);
        }

        _stream.WriteLine();
    }

    /// <summary>A line of plain text; brackets are not markup.</summary>
    /// <param name="text">The line.</param>
    public void Line(string text = "") => _stream.WriteLine(text);

    /// <summary>Words, broken into lines that the eye finds again in the dark.</summary>
    /// <param name="text">The words.</param>
    /// <param name="indent">Blanks before every line.</param>
    /// <param name="hanging">More blanks before every line but the first.</param>
    public void Paragraph(string text, int indent = 0, int hanging = 0)
    {
        int width = Math.Clamp(Console.Profile.Width, LeastWidth, MostWidth);
        var line = new StringBuilder(new string(' ', indent));
        bool isEmpty = true;
        foreach (string word in text.Split(' ', StringSplitOptions.RemoveEmptyEntries))
        {
            if (!isEmpty && line.Length + 1 + word.Length > width)
            {
                Line(line.ToString());
                line.Clear().Append(' ', indent + hanging);
                isEmpty = true;
            }

            line.Append(isEmpty ? "" : " ").Append(word);
            isEmpty = false;
        }

        Line(line.ToString());
    }

    /// <summary>A heading.</summary>
    /// <param name="text">The heading.</param>
    public void Heading(string text)
    {
        Console.Write(new Text(text, new Style(decoration: Decoration.Bold)));
        Console.WriteLine();
    }

    /// <summary>A table or another drawing.</summary>
    /// <param name="drawing">What to draw.</param>
    public void Draw(IRenderable drawing) => Console.Write(drawing);

    /// <summary>An empty table in the house's plain look.</summary>
    /// <param name="columns">Column headings; a leading <c>&gt;</c> aligns the column to the right.</param>
    public static Table Table(params string[] columns)
    {
        var table = new Table { Border = TableBorder.Simple };
        foreach (string column in columns)
        {
            bool right = column.StartsWith('>');
            table.AddColumn(new TableColumn(new Text(right ? column[1..] : column)) { Alignment = right ? Justify.Right : Justify.Left });
        }

        return table;
    }
}
