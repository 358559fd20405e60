using KitMesh.Devices.Mapping;
using KitMesh.Devices.Options;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Devices.CsvLog;

/// <summary>Options of a logger's CSV file.</summary>
/// <param name="File">The file that the logger appends to.</param>
/// <param name="Interval">World time after which it is looked at even when nothing seemed to change.</param>
/// <param name="Separator">What stands between columns.</param>
/// <param name="Header">The header line, when the file itself has none.</param>
/// <param name="DecimalComma">Whether numbers are written 12,8.</param>
/// <param name="TimeColumn">The column with the logger's time; null when rows are as of now.</param>
/// <param name="TimePattern">How that time is written.</param>
/// <param name="TimeOffset">Its offset from UTC.</param>
/// <param name="Columns">The columns that are read.</param>
/// <param name="Subjects">What they measure.</param>
internal sealed record CsvLogOptions(
    string File,
    TimeSpan Interval,
    char Separator,
    string? Header,
    bool DecimalComma,
    string? TimeColumn,
    LocalDateTimePattern TimePattern,
    Offset TimeOffset,
    IReadOnlyList<CsvColumn> Columns,
    ReadingSubjects Subjects)
{
    private static readonly Dictionary<string, char> Separators = new(StringComparer.Ordinal)
    {
        ["comma"] = ',',
        ["semicolon"] = ';',
        ["tab"] = '\t',
    };

    /// <summary>Reads the options.</summary>
    public static CsvLogOptions Read(OptionMap map)
    {
        string file = map.FilePath("file", "the file that the logger appends to");
        TimeSpan interval = PollLoop.Interval(map, TimeSpan.FromMinutes(5));
        char separator = map.Choice("separator", Separators, "comma");
        bool comma = map.Flag("decimalComma", false);
        if (comma && separator == ',')
        {
            map.AddProblem("decimalComma", "Numbers with a comma cannot stand between commas.", "Set \"separator: semicolon\" or \"separator: tab\".");
        }

        List<CsvColumn> columns = [.. map.Children("columns").Select(Column).OfType<CsvColumn>()];
        if (!map.Has("columns"))
        {
            map.AddProblem("columns", "No columns are listed.", "Add \"- header: ...\", \"meaning: battery volts\" and \"unit: V\".");
        }

        return new(
            file, interval, separator, map.OptionalText("header"), comma, map.OptionalText("timeColumn"),
            Pattern(map), OffsetOf(map), columns, ReadingSubjects.Read(map));
    }

    private static CsvColumn? Column(OptionMap map)
    {
        string header = map.Text("header", "what the header line calls the column");
        string words = map.Text("meaning", "what it stands for");
        string unitText = map.Text("unit", "its unit");
        double scale = map.Number("scale", "", -1e9, 1e9, 1);
        map.RefuseUnknownKeys();
        if (!Meaning.TryParse(words, out Meaning meaning))
        {
            map.AddProblem("meaning", $"\"{words}\" does not fit.", $"Write one of {Meaning.Known}.");
            return null;
        }

        if (!DeviceUnit.TryFind(unitText, meaning.Field, out DeviceUnit unit))
        {
            map.AddProblem("unit", $"\"{unitText}\" does not fit.", $"For \"{words}\" write one of {DeviceUnit.For(meaning.Field)}.");
            return null;
        }

        return new(header, meaning, unit, scale);
    }

    private static LocalDateTimePattern Pattern(OptionMap map)
    {
        string text = map.OptionalText("timePattern") ?? "uuuu-MM-dd HH:mm:ss";
        try
        {
            return LocalDateTimePattern.CreateWithInvariantCulture(text);
        }
        catch (InvalidPatternException e)
        {
            map.AddProblem("timePattern", $"\"{text}\" is no pattern: {e.Message}", "Write it like uuuu-MM-dd HH:mm:ss.");
            return LocalDateTimePattern.GeneralIso;
        }
    }

    private static Offset OffsetOf(OptionMap map)
    {
        if (map.OptionalText("timeOffset") is not { } text)
        {
            return Offset.Zero;
        }

        ParseResult<Offset> parsed = OffsetPattern.GeneralInvariant.Parse(text);
        if (!parsed.Success)
        {
            map.AddProblem("timeOffset", $"\"{text}\" is no offset from UTC.", "Write it like +05 or +05:30, in quotes.");
        }

        return parsed.Success ? parsed.Value : Offset.Zero;
    }
}
