using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.TripFile.Keys;
using KitMesh.TripFile.Reading;

namespace KitMesh.TripFile.Sections;

/// <summary><c>links:</c> become <see cref="HubLink"/>.</summary>
internal sealed class LinkSection() : Section("links", "Links between hubs. The hub named under from dials, in place of --to; both hubs keep to the budget when both have the file.")
{
    private static readonly NodeKey From = new("from", "ridge-hub", "The hub that dials, by its --node.", isHub: true);
    private static readonly NodeKey To = new("to", "base-camp", "The hub that is dialled, by its --node.", isHub: true);
    private static readonly AddressKey Address = new("address", "https://192.168.4.1:7433", "Where that one answers.");

    private static readonly WordKey<bool> Quality = new(
        "quality",
        "thin: alerts, copies and all else but readings go first, and of readings the newest. good: everything in the order it was written. A link with a budget counts as thin.",
        "good",
        ("good", false),
        ("thin", true));

    private static readonly QuantityKey Budget = new(
        "budget", UnitFamily.SizePerDay, 0.0001, 1000, 0.02, "What the link may carry in a day, both directions together. Readings stop at three quarters of it. Without the key: no limit.", required: false);

    public override IReadOnlyList<TripKey> Keys { get; } = [From, To, Address, Quality, Budget];

    protected override void Read(TripEntry entry)
    {
        NodeId from = entry.Get(From);
        NodeId to = entry.Get(To);
        Uri address = entry.Get<Uri>(Address);
        bool isThin = entry.Get(Quality, Quality.Standard);
        double? gigabytes = entry.Optional(Budget);
        if (entry.IsSound && from == to)
        {
            entry.Error("to", $"\"{to}\" cannot be linked to itself.", "Name the other hub.");
        }

        if (entry.IsSound && entry.Ledger.Links.Exists(link => link.Joins(from, to)))
        {
            entry.Error("to", $"{from} and {to} are linked twice.", "Keep one entry; either side can dial, the link carries both directions.");
        }

        if (entry.IsSound)
        {
            entry.Ledger.Links.Add(new HubLink(from, to, address, isThin || gigabytes is not null, gigabytes is { } size ? (long)(size * 1e9) : null));
        }
    }
}
