using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.TripFile.Keys;
using KitMesh.TripFile.Reading;

namespace KitMesh.TripFile.Sections;

/// <summary><c>outlets:</c> become <see cref="Outlet"/>.</summary>
internal sealed class OutletSection() : Section("outlets", "Where one device can be plugged in.")
{
    private static readonly NameKey Title = new(KitKind.Outlet, "ridge usb 1");
    private static readonly UseKey Bank = new("bank", "ridge bank", "The bank behind it.", true, KitKind.Bank);
    private static readonly QuantityKey Limit = new("limit", UnitFamily.Power, 0.5, 5000, 60, "Highest power that it gives.");
    private static readonly NumberKey Efficiency = new("efficiency", 0.1, 1, 0.9, "Share of the bank's energy that reaches the plug.", standard: 0.88);

    public override IReadOnlyList<TripKey> Keys { get; } = [Title, Bank, Limit, Efficiency];

    protected override void Read(TripEntry entry)
    {
        KitId id = entry.Get(Title);
        KitId bank = entry.Get(Bank);
        double limit = entry.Get(Limit);
        double efficiency = entry.Get(Efficiency, Efficiency.Standard);
        entry.Add(() => new Outlet(id, bank, new Watts(limit), efficiency));
    }
}
