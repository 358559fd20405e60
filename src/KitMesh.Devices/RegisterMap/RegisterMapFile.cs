using System.Globalization;
using KitMesh.Devices.Mapping;
using KitMesh.Devices.Modbus;
using KitMesh.Devices.Options;

namespace KitMesh.Devices.RegisterMap;

/// <summary>A YAML file in which a user describes the registers of any Modbus device.</summary>
/// <param name="Device">What the device is, in the user's words.</param>
/// <param name="Entries">Its registers, by table and address.</param>
internal sealed record RegisterMapFile(string Device, IReadOnlyList<RegisterEntry> Entries)
{
    private const int MaxEntries = 500;

    private static readonly Dictionary<string, RegisterType> Types = new(StringComparer.Ordinal)
    {
        ["int16"] = RegisterType.Int16,
        ["uint16"] = RegisterType.Uint16,
        ["int32"] = RegisterType.Int32,
        ["uint32"] = RegisterType.Uint32,
        ["float32"] = RegisterType.Float32,
    };

    private static readonly Dictionary<string, RegisterTable> Tables = new(StringComparer.Ordinal)
    {
        ["holding"] = RegisterTable.Holding,
        ["input"] = RegisterTable.Input,
    };

    private static readonly Dictionary<string, bool> Orders = new(StringComparer.Ordinal)
    {
        ["high-word-first"] = false,
        ["low-word-first"] = true,
    };

    /// <summary>Reads a map. Everything wrong with it is added to the problems.</summary>
    public static RegisterMapFile? Parse(string file, string text, List<OptionProblem> problems)
    {
        int before = problems.Count;
        if (OptionMap.Parse(file, text, problems) is not { } map)
        {
            return null;
        }

        string device = map.Text("device", "what the device is");
        List<RegisterEntry> entries = [.. map.Children("registers").Select(Entry).OfType<RegisterEntry>().OrderBy(e => e.Table).ThenBy(e => e.Address)];
        map.RefuseUnknownKeys();
        if (problems.Count == before && entries.Count is 0 or > MaxEntries)
        {
            map.AddProblem("registers", string.Create(CultureInfo.InvariantCulture, $"The map has {entries.Count} registers."), $"List from 1 to {MaxEntries}.");
        }

        return problems.Count > before ? null : new(device, entries);
    }

    private static RegisterEntry? Entry(OptionMap map)
    {
        int before = map.Problems.Count;
        RegisterTable table = map.Choice("table", Tables, "holding");
        int address = map.Whole("address", 0, 65535, null);
        RegisterType type = map.Choice("type", Types, null);
        bool lowFirst = map.Choice("order", Orders, "high-word-first");
        double scale = map.Number("scale", "", -1e9, 1e9, 1);
        double offset = map.Number("offset", "", -1e9, 1e9, 0);
        uint? missing = Missing(map);
        string words = map.Text("meaning", "what the number stands for, such as battery volts");
        string unitText = map.Text("unit", "the unit of the scaled number");
        map.RefuseUnknownKeys();
        if (!Meaning.TryParse(words, out Meaning meaning))
        {
            AddIfPresent(map, "meaning", words, $"Write one of {Meaning.Known}; for the second of several put its number in between, as in \"panel 2 watts\".");
            return null;
        }

        if (!DeviceUnit.TryFind(unitText, meaning.Field, out DeviceUnit unit))
        {
            AddIfPresent(map, "unit", unitText, $"For \"{words}\" write one of {DeviceUnit.For(meaning.Field)}.");
        }

        return map.Problems.Count > before ? null : new(table, (ushort)address, type, lowFirst, scale, offset, unit, meaning, missing);
    }

    private static uint? Missing(OptionMap map)
    {
        if (map.OptionalText("missing") is not { } text)
        {
            return null;
        }

        if (text.StartsWith("0x", StringComparison.Ordinal) && uint.TryParse(text.AsSpan(2), NumberStyles.AllowHexSpecifier, CultureInfo.InvariantCulture, out uint hex))
        {
            return hex;
        }

        if (uint.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out uint number))
        {
            return number;
        }

        map.AddProblem("missing", $"\"{text}\" is no raw value.", "Write the bits that mean \"no value\", such as 0x8000 or 65535.");
        return null;
    }

    private static void AddIfPresent(OptionMap map, string key, string text, string mend)
    {
        if (text.Length > 0)
        {
            map.AddProblem(key, $"\"{text}\" does not fit.", mend);
        }
    }
}
