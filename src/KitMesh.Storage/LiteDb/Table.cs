namespace KitMesh.Storage.LiteDb;

/// <summary>The collections of the database. Each holds documents of two fields: a binary key and a checked block.</summary>
internal enum Table
{
    /// <summary>Segments, by <see cref="SegmentKey"/>.</summary>
    Segments,

    /// <summary>Descriptions of segments, by the same key.</summary>
    Index,

    /// <summary>Reports beside an earlier one of the same sequence.</summary>
    Forks,

    /// <summary>Descriptions of forks, by the same key.</summary>
    ForkIndex,

    /// <summary>Blocks of roll-ups.</summary>
    RollUps,

    /// <summary>Names and ends of series.</summary>
    Series,

    /// <summary>One document: counts, and how far the journal is applied.</summary>
    State,
}
