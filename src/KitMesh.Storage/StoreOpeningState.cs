namespace KitMesh.Storage;

/// <summary>Whether the content of a store is used.</summary>
public enum StoreOpeningState
{
    /// <summary>There was none; it is empty now.</summary>
    Fresh,

    /// <summary>It was closed cleanly and is used.</summary>
    Kept,

    /// <summary>It was not closed cleanly, is of another version, or is broken: deleted, empty now, to be refilled from the journal.</summary>
    Discarded,
}
