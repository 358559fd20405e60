using System.Text.Json;
using KitMesh.Domain.Reports;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Hub.Links;

/// <summary>The day's counts of this hub's links, in <c>link-budgets.json</c> of its data folder. Losing it costs one day's count.</summary>
internal sealed class LinkMeterFile(string folder)
{
    private readonly string _path = Path.Combine(folder, "link-budgets.json");

    /// <summary>One link.</summary>
    internal sealed record Entry(string Hub, LocalDate Day, long Bytes);

    private sealed record Line(string? Hub, string? Day, long Bytes);

    /// <summary>What was kept; nothing when there is none or it cannot be read.</summary>
    public IReadOnlyDictionary<NodeId, Entry> Read()
    {
        var entries = new Dictionary<NodeId, Entry>();
        try
        {
            foreach (Line line in JsonSerializer.Deserialize<Line[]>(File.ReadAllText(_path), JsonSerializerOptions.Web) ?? [])
            {
                if (NodeId.TryParse(line.Hub ?? "", out NodeId hub) && LocalDatePattern.Iso.Parse(line.Day ?? "") is { Success: true, Value: var day } && line.Bytes >= 0)
                {
                    entries[hub] = new Entry(hub.Value, day, line.Bytes);
                }
            }
        }
        catch (Exception fault) when (fault is IOException or JsonException or UnauthorizedAccessException)
        {
            // A budget that begins anew is better than a hub that does not start.
        }

        return entries;
    }

    /// <summary>Keeps the counts; a disk that refuses is passed over.</summary>
    public void Write(IEnumerable<Entry> entries)
    {
        try
        {
            Line[] lines = [.. entries.Select(entry => new Line(entry.Hub, LocalDatePattern.Iso.Format(entry.Day), entry.Bytes))];
            File.WriteAllText(_path + ".new", JsonSerializer.Serialize(lines, JsonSerializerOptions.Web));
            File.Move(_path + ".new", _path, overwrite: true);
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            // The next minute tries again.
        }
    }
}
