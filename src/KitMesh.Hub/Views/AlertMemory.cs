using System.Text.Json;
using KitMesh.Alerts;
using KitMesh.Disk;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Hub.Json;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Hub.Views;

// Problem: a hub that runs an hour an evening must not say each time that an alert is new, nor fire again what its rule
// would clear late.
// Trap: what is kept here must never be more than a memory. The reports are the truth: each alert is judged anew at start,
// and a file that is missing, torn or odd costs nothing but the hour since when it stands.

/// <summary>Keeps the alerts that stand in a file beside the journal, over restarts.</summary>
internal sealed class AlertMemory(IDisk disk, HubOptions options)
{
    private const int MostBytes = 4 << 20;

    private readonly string _path = Path.Combine(options.DataFolder, "alerts.json");
    private HashSet<(string Rule, KitId Subject, Instant Since)> _kept = [];

    /// <summary>The book as it stood when this hub stopped.</summary>
    public AlertBook Load()
    {
        Alert[] standing = Read();
        _kept = Keys(standing);
        return AlertBook.From(standing);
    }

    /// <summary>Keeps the book where something was raised or cleared. A disk that fails is passed over.</summary>
    public void Save(AlertBook book)
    {
        IReadOnlyList<Alert> standing = book.Standing;
        HashSet<(string, KitId, Instant)> keys = Keys(standing);
        if (!keys.SetEquals(_kept) && Write(JsonSerializer.SerializeToUtf8Bytes(standing, ResultJson.Options)))
        {
            _kept = keys;
        }
    }

    private static HashSet<(string Rule, KitId Subject, Instant Since)> Keys(IEnumerable<Alert> alerts) => [.. alerts.Select(alert => (alert.Rule, alert.Subject, alert.Since))];

    private Alert[] Read()
    {
        if (disk.Open(_path, DiskOpen.ToRead).Failed(out _, out IDiskFile? file))
        {
            return [];
        }

        using (file)
        {
            if (file.Length().Failed(out _, out long length) || length > MostBytes)
            {
                return [];
            }

            byte[] bytes = new byte[length];
            return file.Read(0, bytes).Failed(out _, out int read) || read < length ? [] : Parse(bytes);
        }
    }

    private static Alert[] Parse(byte[] bytes)
    {
        try
        {
            using JsonDocument document = JsonDocument.Parse(bytes);
            return [.. document.RootElement.EnumerateArray().Select(One).OfType<Alert>()];
        }
        catch (Exception odd) when (odd is JsonException or InvalidOperationException or KeyNotFoundException)
        {
            return [];
        }
    }

    private static Alert? One(JsonElement element)
    {
        string name = element.GetProperty("rule").GetString() ?? "";
        IAlertRule? rule = AlertCatalogue.All.FirstOrDefault(rule => rule.Name == name);
        ParseResult<Instant> since = InstantPattern.ExtendedIso.Parse(element.GetProperty("since").GetString() ?? "");
        return rule is not null && since.Success && KitId.TryParse(element.GetProperty("subject").GetString() ?? "", out KitId subject)
            ? new Alert(name, subject, rule.Weight, since.Value, element.GetProperty("what").GetString() ?? "", element.GetProperty("do").GetString() ?? "")
            : null;
    }

    private bool Write(byte[] bytes)
    {
        string beside = _path + ".new";
        if (disk.Open(beside, new DiskOpen(DiskOpenMode.Emptied, Writable: true)).Failed(out _, out IDiskFile? file))
        {
            return false;
        }

        using (file)
        {
            if (file.Write(0, bytes).Failed(out _) || file.Sync().Failed(out _))
            {
                return false;
            }
        }

        return !disk.Move(beside, _path, replace: true).Failed(out _);
    }
}
