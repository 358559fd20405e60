using KitMesh.Storage.RollUps;

namespace KitMesh.Storage.LiteDb;

/// <summary>A series as the database knows it.</summary>
/// <param name="number">Its number in this database, from 1.</param>
/// <param name="key">Its name.</param>
internal sealed class Series(int number, SeriesKey key)
{
    /// <summary>Its number in this database, from 1.</summary>
    public int Number { get; } = number;

    /// <summary>Its name.</summary>
    public SeriesKey Key { get; } = key;

    /// <summary>Its last reading in the order (time, origin, sequence).</summary>
    public Sample? Last { get; set; }
}
