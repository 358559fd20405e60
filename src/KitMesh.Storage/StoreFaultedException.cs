namespace KitMesh.Storage;

/// <summary>The database under a store failed. Nothing acknowledged is lost: discard the store and replay the journal.</summary>
/// <param name="message">What failed, on which file.</param>
/// <param name="inner">The database's own words.</param>
public sealed class StoreFaultedException(string message, Exception? inner = null) : Exception(message, inner)
{
    /// <summary>Whether waiting may mend it: a server that does not answer at the moment.</summary>
    public bool MayPass { get; init; }
}
