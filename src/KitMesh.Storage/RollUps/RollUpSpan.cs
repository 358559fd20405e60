namespace KitMesh.Storage.RollUps;

/// <summary>How long a roll-up's bucket is. Buckets begin at whole multiples since 1970-01-01 UTC.</summary>
public enum RollUpSpan
{
    /// <summary>One minute.</summary>
    Minute = 0,

    /// <summary>One hour.</summary>
    Hour = 1,

    /// <summary>One day of 24 hours.</summary>
    Day = 2,
}
