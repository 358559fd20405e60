using System.Globalization;
using System.Text.Json.Nodes;
using KitMesh.TripFile.Keys;
using KitMesh.TripFile.Reading;
using YamlDotNet.RepresentationModel;

namespace KitMesh.TripFile.Sections;

/// <summary>One section of the file: its name, its keys, and how an entry becomes kit.</summary>
internal abstract class Section(string name, string meaning, bool required = false)
{
    /// <summary>The most entries a section may have.</summary>
    public const int MaxEntries = 500;

    public string Name { get; } = name;

    /// <summary>One sentence.</summary>
    public string Meaning { get; } = meaning;

    /// <summary>True when a file without it is wrong.</summary>
    public bool Required { get; } = required;

    /// <summary>True for a section that is one entry and no list.</summary>
    public virtual bool IsSingle => false;

    /// <summary>Every key of an entry, in the order of the documentation.</summary>
    public abstract IReadOnlyList<TripKey> Keys { get; }

    /// <summary>Reads one entry and adds its kit.</summary>
    protected abstract void Read(TripEntry entry);

    /// <summary>Reads the section.</summary>
    public void ReadAll(YamlNode node, int line, TripLedger ledger)
    {
        if (IsSingle)
        {
            if (node is YamlMappingNode single)
            {
                ReadEntry(new TripEntry(single, Name, ledger));
                return;
            }

            ledger.Error(line, Name, "\"key: value\" lines are expected under this section.", "Indent them below it.");
            return;
        }

        if (node is YamlScalarNode { Value: null or "" })
        {
            return;
        }

        if (node is not YamlSequenceNode list)
        {
            ledger.Error(line, Name, "A list is expected under this section.", "Start each entry with \"- \" below it.");
            return;
        }

        if (list.Children.Count > MaxEntries)
        {
            ledger.Error(line, Name, $"There are {list.Children.Count} entries.", $"A section has at most {MaxEntries}.");
            return;
        }

        for (int i = 0; i < list.Children.Count; i++)
        {
            string path = string.Create(CultureInfo.InvariantCulture, $"{Name}[{i}]");
            if (list.Children[i] is YamlMappingNode entry)
            {
                ReadEntry(new TripEntry(entry, path, ledger));
            }
            else
            {
                ledger.Error((int)list.Children[i].Start.Line, path, "An entry of \"key: value\" lines is expected here.", $"Start with \"- {Keys[0].Name}: {Keys[0].Sample}\".");
            }
        }
    }

    /// <summary>The section's JSON Schema.</summary>
    public JsonObject Schema()
    {
        var properties = new JsonObject();
        foreach (TripKey key in Keys)
        {
            properties[key.Name] = key.Schema();
        }

        var entry = new JsonObject
        {
            ["type"] = "object",
            ["additionalProperties"] = false,
            ["required"] = new JsonArray([.. Keys.Where(key => key.Required).Select(key => JsonValue.Create(key.Name))]),
            ["properties"] = properties,
        };
        if (IsSingle)
        {
            entry["description"] = Meaning;
            return entry;
        }

        return new JsonObject
        {
            ["type"] = new JsonArray("array", "null"),
            ["maxItems"] = MaxEntries,
            ["description"] = Meaning,
            ["items"] = entry,
        };
    }

    private void ReadEntry(TripEntry entry)
    {
        entry.RefuseUnknownKeys(Keys);
        Read(entry);
    }
}
