using KitMesh.Storage.RollUps;

namespace KitMesh.Storage.Postgres;

/// <summary>The row of a series while a transaction holds it.</summary>
/// <param name="number">Its number.</param>
/// <param name="key">Its name.</param>
/// <param name="item">The number of its thing.</param>
/// <param name="version">Counts the writes to its roll-ups, whichever hub made them.</param>
internal sealed class RollUpLine(int number, SeriesKey key, int item, long version)
{
    public int Number { get; } = number;

    public SeriesKey Key { get; } = key;

    public int Item { get; } = item;

    public long Version { get; } = version;

    /// <summary>Its last reading in the order (time, origin, sequence).</summary>
    public Sample? Last { get; set; }
}
