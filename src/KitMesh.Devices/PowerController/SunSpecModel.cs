using System.Globalization;

namespace KitMesh.Devices.PowerController;

/// <summary>The published layout of one SunSpec model.</summary>
internal sealed class SunSpecModel
{
    private const string Resource = "KitMesh.Devices.PowerController.SunSpecModels.csv";

    private SunSpecModel(int id, IReadOnlyList<SunSpecPoint> points)
    {
        Id = id;
        Points = points;
        GroupStart = points.Where(p => p.Repeats).Select(p => p.Offset).DefaultIfEmpty(0).Min();
        GroupSize = points.Where(p => p.Repeats).Select(p => p.Offset + p.Size).DefaultIfEmpty(0).Max() - GroupStart;
    }

    /// <summary>The models that KitMesh decodes, by id.</summary>
    public static IReadOnlyDictionary<int, SunSpecModel> Known { get; } = Load();

    /// <summary>Its number.</summary>
    public int Id { get; }

    /// <summary>Its points.</summary>
    public IReadOnlyList<SunSpecPoint> Points { get; }

    /// <summary>Offset of the first repetition; 0 when nothing repeats.</summary>
    public int GroupStart { get; }

    /// <summary>Registers of one repetition; 0 when nothing repeats.</summary>
    public int GroupSize { get; }

    /// <summary>A point by its published name. Fixed part and repeating part may use one name twice (714: DCA).</summary>
    public SunSpecPoint Find(string name, bool repeats) => Points.First(p => p.Name == name && p.Repeats == repeats);

    private static Dictionary<int, SunSpecModel> Load()
    {
        using Stream stream = typeof(SunSpecModel).Assembly.GetManifestResourceStream(Resource)
            ?? throw new InvalidOperationException($"The resource {Resource} is missing from the build.");
        using var reader = new StreamReader(stream);
        var points = new List<(int Model, SunSpecPoint Point)>();
        while (reader.ReadLine() is { } line)
        {
            if (line.Length > 0 && char.IsAsciiDigit(line[0]))
            {
                points.Add(Parse(line.Split(',')));
            }
        }

        return points
            .GroupBy(p => p.Model, p => p.Point)
            .ToDictionary(g => g.Key, g => new SunSpecModel(g.Key, [.. g]));
    }

    private static (int Model, SunSpecPoint Point) Parse(string[] cells) =>
    (
        Int(cells[0]),
        new SunSpecPoint(cells[4], TypeOf(cells[5]), Int(cells[3]), Int(cells[6]), cells[7], cells[1].Contains('/', StringComparison.Ordinal)));

    private static int Int(string text) => int.Parse(text, CultureInfo.InvariantCulture);

    private static SunSpecType TypeOf(string text) => text switch
    {
        "int16" => SunSpecType.Int16,
        "uint16" => SunSpecType.Uint16,
        "uint32" => SunSpecType.Uint32,
        "uint64" => SunSpecType.Uint64,
        "acc32" => SunSpecType.Acc32,
        "enum16" => SunSpecType.Enum16,
        "bitfield32" => SunSpecType.Bitfield32,
        "count" => SunSpecType.Count,
        "string" => SunSpecType.Text,
        "sunssf" => SunSpecType.Scale,
        "pad" => SunSpecType.Pad,
        _ => throw new FormatException($"Type {text} is not one of the decoded models'."),
    };
}
