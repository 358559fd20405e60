using KitMesh.Domain.Reports;

namespace KitMesh.Storage.RollUps;

/// <summary>Names one line of numbers over time: what was measured, on which thing, by which of its sensors.</summary>
/// <param name="Item">The thing.</param>
/// <param name="Quantity">What is measured.</param>
/// <param name="Sensor">Tells several sensors of one thing apart; empty where there is one.</param>
public readonly record struct SeriesKey(KitId Item, SeriesQuantity Quantity, string Sensor = "") : IComparable<SeriesKey>
{
    /// <inheritdoc/>
    public int CompareTo(SeriesKey other)
    {
        int byItem = Item.CompareTo(other.Item);
        if (byItem != 0)
        {
            return byItem;
        }

        int byQuantity = Quantity.CompareTo(other.Quantity);
        return byQuantity != 0 ? byQuantity : string.CompareOrdinal(Sensor, other.Sensor);
    }
}
