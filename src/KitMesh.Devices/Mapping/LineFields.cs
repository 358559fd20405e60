using System.Text.Json;
using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Devices.Mapping;

/// <summary>The fields of one JSON line; remembers which were asked for and the first thing that was wrong.</summary>
internal sealed class LineFields(JsonElement root)
{
    private const int MaxProbes = 64;

    private readonly HashSet<string> _asked = new(StringComparer.Ordinal);

    /// <summary>The first thing that was wrong; null when nothing was.</summary>
    public string? Complaint { get; private set; }

    public void Complain(string? what) => Complaint ??= what;

    public string Word(string name)
    {
        string? word = OptionalWord(name);
        Complain(word is null ? $"\"{name}\" is missing" : null);
        return word ?? "";
    }

    public string? OptionalWord(string name)
    {
        if (!Find(name, out JsonElement value))
        {
            return null;
        }

        Complain(value.ValueKind != JsonValueKind.String ? $"\"{name}\" is no text" : null);
        return value.ValueKind == JsonValueKind.String ? value.GetString() : null;
    }

    public KitId Subject() => ParseKit("subject", Word("subject"));

    public KitId? OptionalSubject() => OptionalKit("subject");

    public KitId? OptionalKit(string name) => OptionalWord(name) is { } word ? ParseKit(name, word) : null;

    public double? Number(string name)
    {
        if (!Find(name, out JsonElement value))
        {
            return null;
        }

        if (value.ValueKind == JsonValueKind.Number && value.TryGetDouble(out double number) && double.IsFinite(number))
        {
            return number;
        }

        Complain($"\"{name}\" is no number");
        return null;
    }

    public double Needed(string name)
    {
        double? number = Number(name);
        Complain(number is null ? $"\"{name}\" is missing" : null);
        return number ?? 0;
    }

    public bool Flag(string name)
    {
        if (!Find(name, out JsonElement value))
        {
            return false;
        }

        Complain(value.ValueKind is not (JsonValueKind.True or JsonValueKind.False) ? $"\"{name}\" is neither true nor false" : null);
        return value.ValueKind == JsonValueKind.True;
    }

    public ValueList<Celsius> Temperatures(string name)
    {
        if (!Find(name, out JsonElement value))
        {
            return [];
        }

        if (value.ValueKind != JsonValueKind.Array || value.GetArrayLength() > MaxProbes
            || value.EnumerateArray().Any(e => e.ValueKind != JsonValueKind.Number || !e.TryGetDouble(out double n) || !double.IsFinite(n)))
        {
            Complain($"\"{name}\" is no list of at most {MaxProbes} numbers");
            return [];
        }

        return value.EnumerateArray().Select(e => new Celsius(e.GetDouble())).ToValueList();
    }

    public ChargeActivity Activity()
    {
        switch (OptionalWord("activity"))
        {
            case null or "unknown":
                return ChargeActivity.Unknown;
            case "charging":
                return ChargeActivity.Charging;
            case "discharging":
                return ChargeActivity.Discharging;
            case "full":
                return ChargeActivity.Full;
            case "plugged":
                return ChargeActivity.PluggedNotCharging;
            case var word:
                Complain($"\"{word}\" is no activity; write charging, discharging, full, plugged or unknown");
                return ChargeActivity.Unknown;
        }
    }

    public Instant? Taken()
    {
        if (OptionalWord("taken") is not { } word)
        {
            return null;
        }

        ParseResult<OffsetDateTime> parsed = OffsetDateTimePattern.Rfc3339.Parse(word);
        Complain(parsed.Success ? null : $"\"{word}\" is no time; write it like 2027-02-11T18:40:00Z");
        return parsed.Success ? parsed.Value.ToInstant() : null;
    }

    public string? LeftOver()
    {
        foreach (JsonProperty property in root.EnumerateObject())
        {
            if (!_asked.Contains(property.Name))
            {
                return $"\"{property.Name}\" is not known here";
            }
        }

        return null;
    }

    private bool Find(string name, out JsonElement value)
    {
        _asked.Add(name);
        return root.TryGetProperty(name, out value) && value.ValueKind != JsonValueKind.Null;
    }

    private KitId ParseKit(string name, string word)
    {
        bool good = KitId.TryParse(word, out KitId id);
        Complain(good || word.Length == 0 ? null : $"\"{word}\" in \"{name}\" is no kit name");
        Complain(word.Length == 0 ? $"\"{name}\" is empty" : null);
        return id;
    }
}
