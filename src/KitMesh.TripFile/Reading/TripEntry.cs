using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.TripFile.Keys;
using YamlDotNet.RepresentationModel;

namespace KitMesh.TripFile.Reading;

/// <summary>One entry of a section (one pack, one drive): reads its keys and remembers whether all were sound.</summary>
internal sealed class TripEntry
{
    private readonly YamlMappingNode _node;
    private readonly TripLedger _ledger;

    public TripEntry(YamlMappingNode node, string path, TripLedger ledger)
    {
        _node = node;
        _ledger = ledger;
        Path = path;
    }

    /// <summary>Path of the entry in the file.</summary>
    public string Path { get; }

    /// <summary>Line where the entry starts.</summary>
    public int Line => (int)_node.Start.Line;

    /// <summary>True while nothing in the entry was wrong.</summary>
    public bool IsSound { get; private set; } = true;

    /// <summary>A key's value; the fallback when it is missing or wrong (wrong makes the entry unsound).</summary>
    public T Get<T>(TripKey<T> key, T fallback = default!)
    {
        if (!_node.Children.TryGetValue(new YamlScalarNode(key.Name), out YamlNode? value))
        {
            if (key.Required)
            {
                Error(Line, key.Name, "The key is missing.", $"Add \"{key.Name}: {key.Sample}\": {key.Meaning}");
            }

            return fallback;
        }

        var place = new KeyPlace(this, key.Name, LineOf(key.Name, value));
        return key.TryRead(value, place, out T? read) ? read : fallback;
    }

    /// <summary>A value that may be missing.</summary>
    public T? Optional<T>(TripKey<T> key)
        where T : struct => _node.Children.ContainsKey(new YamlScalarNode(key.Name)) ? Get(key) : null;

    /// <summary>Refuses the keys that the section does not know.</summary>
    public void RefuseUnknownKeys(IReadOnlyList<TripKey> known)
    {
        foreach (YamlNode node in _node.Children.Keys)
        {
            string name = (node as YamlScalarNode)?.Value ?? "";
            if (known.Any(key => key.Name == name))
            {
                continue;
            }

            string mend = NearestWord.To(name, known.Select(key => key.Name)) is { } near
                ? $"Did you mean \"{near}\"?"
                : $"Known keys: {string.Join(", ", known.Select(key => key.Name))}.";
            Error((int)node.Start.Line, name, "This key is not known here.", mend);
        }
    }

    public void Error(int line, string key, string what, string mend)
    {
        IsSound = false;
        _ledger.Error(line, $"{Path}.{key}", what, mend);
    }

    /// <summary>Asks the author to look again at a key; the entry stays sound.</summary>
    public void Question(string key, string what, string mend) => _ledger.Question(LineOf(key, null), $"{Path}.{key}", what, mend);

    /// <summary>Refuses a value that fits its key and not the other keys.</summary>
    public void Error(string key, string what, string mend) => Error(LineOf(key, null), key, what, mend);

    public TripLedger Ledger => _ledger;

    private int LineOf(string key, YamlNode? value)
    {
        foreach (YamlNode candidate in _node.Children.Keys)
        {
            if (candidate is YamlScalarNode scalar && scalar.Value == key)
            {
                return (int)scalar.Start.Line;
            }
        }

        return (int)(value?.Start.Line ?? _node.Start.Line);
    }

    /// <summary>Adds the item when everything in the entry was sound.</summary>
    public void Add(Func<KitItem> make)
    {
        if (IsSound)
        {
            _ledger.Items.Add(make());
        }
    }
}
