using System.Text.Json;
using System.Text.Json.Serialization;
using KitMesh.Domain.Quantities;

namespace KitMesh.Devices.BackupStation;

/// <summary>What a station must remember over a restart: which files it saw on which card, and which drive bore which identity.</summary>
/// <remarks>Losing it is safe: cards are then offloaded again, which copies nothing twice, and one formatting may go unnoticed.</remarks>
internal sealed class StationMemory
{
    private readonly string _file;
    private Shape _shape;

    private StationMemory(string file, Shape shape)
    {
        _file = file;
        _shape = shape;
    }

    /// <summary>Reads the memory; a file that is missing or torn is an empty memory.</summary>
    /// <param name="folder">The reader's own folder.</param>
    public static StationMemory Load(string folder)
    {
        string file = Path.Combine(folder, "station.json");
        try
        {
            if (File.Exists(file) && JsonSerializer.Deserialize(File.ReadAllText(file), StationMemoryJson.Default.Shape) is { Cards: not null, Drives: not null } shape)
            {
                return new StationMemory(file, shape);
            }
        }
        catch (JsonException)
        {
            // Torn by a power cut: start anew.
        }

        return new StationMemory(file, new Shape([], []));
    }

    /// <summary>The card's last visit; null when it was never seen.</summary>
    /// <param name="card">The card.</param>
    public Visit? LastVisit(string card) => _shape.Cards.GetValueOrDefault(card);

    /// <summary>The identity that a drive bore when it was last seen; null when it never was.</summary>
    /// <param name="drive">The drive.</param>
    public string? IdentityOf(string drive) => _shape.Drives.GetValueOrDefault(drive);

    /// <summary>Remembers a visit.</summary>
    /// <param name="card">The card.</param>
    /// <param name="visit">The visit.</param>
    public void Keep(string card, Visit visit)
    {
        _shape.Cards[card] = visit;
        Save();
    }

    /// <summary>Remembers a drive's identity.</summary>
    /// <param name="drive">The drive.</param>
    /// <param name="identity">The identity.</param>
    public void KeepDrive(string drive, string identity)
    {
        _shape.Drives[drive] = identity;
        Save();
    }

    /// <summary>What was spent on rechecks on a day.</summary>
    /// <param name="day">The day.</param>
    public WattHours SpentOn(string day) => new(_shape.Recheck is { } spent && spent.Day == day ? spent.WattHours : 0);

    /// <summary>Remembers what was spent on rechecks.</summary>
    /// <param name="day">The day.</param>
    /// <param name="energy">Spent now.</param>
    public void Spend(string day, WattHours energy)
    {
        _shape = _shape with { Recheck = new Spent(day, SpentOn(day).Value + energy.Value) };
        Save();
    }

    private void Save()
    {
        Directory.CreateDirectory(Path.GetDirectoryName(_file)!);
        string fresh = _file + ".new";
        using (var stream = new FileStream(fresh, FileMode.Create, FileAccess.Write))
        {
            JsonSerializer.Serialize(stream, _shape, StationMemoryJson.Default.Shape);
            stream.Flush(flushToDisk: true);
        }

        File.Move(fresh, _file, overwrite: true);
    }

    /// <summary>One visit of a card.</summary>
    /// <param name="Insertion">Its name in reports.</param>
    /// <param name="Fingerprint">What was on the card.</param>
    /// <param name="Files">One number for each file.</param>
    internal sealed record Visit(string Insertion, ulong Fingerprint, IReadOnlyList<ulong> Files);

    internal sealed record Shape(Dictionary<string, Visit> Cards, Dictionary<string, string> Drives, Spent? Recheck = null);

    internal sealed record Spent(string Day, double WattHours);
}

/// <summary>Serializer of the station's memory.</summary>
[JsonSourceGenerationOptions(PropertyNamingPolicy = JsonKnownNamingPolicy.CamelCase)]
[JsonSerializable(typeof(StationMemory.Shape))]
internal sealed partial class StationMemoryJson : JsonSerializerContext;
