using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.TripFile.Learnt;
using KitMesh.TripFile.Reading;
using NodaTime;
using NodaTime.Text;
using YamlDotNet.RepresentationModel;

namespace KitMesh.TripFile.Import;

/// <summary>Reads a mapping file (docs/import.md), with line-true mistakes.</summary>
public static class ImportMapReader
{
    private const string Mend = "docs/import.md has an example.";

    /// <summary>Reads a file.</summary>
    /// <param name="file">Its name, for messages.</param>
    /// <param name="text">Its text.</param>
    /// <param name="kit">The trip's kit: every item of the map must be one of its.</param>
    public static ImportMapResult Read(string file, string text, ValueList<KitItem> kit)
    {
        ArgumentNullException.ThrowIfNull(text);
        var problems = new List<TripProblem>();
        if (YamlText.Load(text, out YamlStream stream) is { } fault)
        {
            return new ImportMapResult(null, [new TripProblem(file, fault.Line, "", fault.Message, Mend)]);
        }

        if (stream.Documents.Count != 1 || stream.Documents[0].RootNode is not YamlMappingNode root)
        {
            return new ImportMapResult(null, [new TripProblem(file, 1, "", "this is no mapping file.", Mend)]);
        }

        var top = new LearntEntry(file, "", root, problems, Mend);
        top.NothingElse("node", "separator", "decimalComma", "time", "columns");
        string node = top.Has("node") ? top.Text("node") : "csv-logger";
        string separator = top.Has("separator") ? top.Text("separator") : ",";
        if (separator.Length != 1)
        {
            top.Wrong("separator", "one character is wanted, such as \";\".");
        }

        if (!NodeId.TryParse(node, out _))
        {
            top.Wrong("node", "a name of lower-case letters, digits and - is wanted.");
        }

        bool comma = top.Has("decimalComma") && top.Text("decimalComma") == "true";
        (string column, string format, Offset zone) = Time(top.Mapping("time"));
        ImportColumn[] columns = [.. top.List("columns").Select(entry => Column(entry, kit))];
        if (columns.Length == 0 && problems.Count == 0)
        {
            top.Wrong("columns", "at least one column is wanted.");
        }

        return problems.Count > 0
            ? new ImportMapResult(null, problems.OrderBy(problem => problem.Line).ToValueList())
            : new ImportMapResult(new ImportMap(node, separator[0], comma, column, format, zone, columns.ToValueList()), []);
    }

    private static (string Column, string Format, Offset Zone) Time(LearntEntry? time)
    {
        if (time is null)
        {
            return ("", "iso", Offset.Zero);
        }

        time.NothingElse("column", "format", "zone");
        string zone = time.Has("zone") ? time.Text("zone") : "+00:00";
        if (OffsetPattern.CreateWithInvariantCulture("m").Parse(zone) is not { Success: true, Value: var offset })
        {
            time.Wrong("zone", "an offset in quotes is wanted, such as \"+06:00\".");
            offset = Offset.Zero;
        }

        return (time.Text("column"), time.Has("format") ? time.Text("format") : "iso", offset);
    }

    private static ImportColumn Column(LearntEntry entry, ValueList<KitItem> kit)
    {
        entry.NothingElse("column", "item", "quantity", "unit");
        KitId item = entry.Id("item");
        string told = entry.Text("quantity");
        string unit = entry.Text("unit");
        ImportQuantity? quantity = Enum.GetValues<ImportQuantity>().Where(one => char.ToLowerInvariant(one.ToString()[0]) + one.ToString()[1..] == told).Select(one => (ImportQuantity?)one).FirstOrDefault();
        if (quantity is not { } known)
        {
            entry.Wrong("quantity", $"\"{told}\" is none of {string.Join(", ", Enum.GetNames<ImportQuantity>().Select(name => char.ToLowerInvariant(name[0]) + name[1..]))}.");
            return new ImportColumn(entry.Text("column"), item, default, 1, 0);
        }

        if (!kit.Any(one => one.Id == item && Fits(one, known)))
        {
            entry.Wrong("item", $"the trip file declares no \"{item}\" that {told} can be measured of.");
        }

        if (Units(known).TryGetValue(unit, out (double Factor, double Offset) factor))
        {
            return new ImportColumn(entry.Text("column"), item, known, factor.Factor, factor.Offset);
        }

        string question = unit is "Ah" or "mAh" ? " Is it a charge? An energy counter is wanted: give Wh, or leave the column out." : "";
        entry.Wrong("unit", $"{told} is in {string.Join(", ", Units(known).Keys)}, not \"{unit}\".{question}");
        return new ImportColumn(entry.Text("column"), item, known, 1, 0);
    }

    private static bool Fits(KitItem item, ImportQuantity quantity) => quantity switch
    {
        ImportQuantity.PanelWatts or ImportQuantity.PanelEnergy => item is Panel,
        ImportQuantity.LoadWatts or ImportQuantity.LoadEnergy => item is Load,
        ImportQuantity.Temperature => item is Place or Box,
        _ => item is Pack or Bank,
    };

    private static Dictionary<string, (double Factor, double Offset)> Units(ImportQuantity quantity) => quantity switch
    {
        ImportQuantity.PackVolts => new() { ["V"] = (1, 0), ["mV"] = (0.001, 0) },
        ImportQuantity.PackAmperes => new() { ["A"] = (1, 0), ["mA"] = (0.001, 0) },
        ImportQuantity.PackWatts or ImportQuantity.PanelWatts or ImportQuantity.LoadWatts => new() { ["W"] = (1, 0), ["kW"] = (1000, 0), ["mW"] = (0.001, 0) },
        ImportQuantity.PackCharge => new() { ["%"] = (0.01, 0), ["1"] = (1, 0) },
        ImportQuantity.PanelEnergy or ImportQuantity.LoadEnergy => new() { ["Wh"] = (1, 0), ["kWh"] = (1000, 0) },
        _ => new() { ["°C"] = (1, 0), ["C"] = (1, 0), ["°F"] = (5.0 / 9, -160.0 / 9) },
    };
}
