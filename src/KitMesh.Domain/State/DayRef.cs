using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Domain.State;

/// <summary>Names one day of one thing as one origin told it.</summary>
/// <param name="Item">The thing.</param>
/// <param name="From">Begin of the day.</param>
/// <param name="Until">End of the day.</param>
/// <param name="Origin">Who told it.</param>
public readonly record struct DayRef(KitId Item, Instant From, Instant Until, OriginId Origin) : IComparable<DayRef>
{
    /// <inheritdoc/>
    public int CompareTo(DayRef other)
    {
        int order = Item.CompareTo(other.Item);
        order = order != 0 ? order : From.CompareTo(other.From);
        order = order != 0 ? order : Until.CompareTo(other.Until);
        return order != 0 ? order : Origin.CompareTo(other.Origin);
    }
}
