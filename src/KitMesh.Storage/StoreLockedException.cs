namespace KitMesh.Storage;

/// <summary>Another process holds the folder of the store.</summary>
/// <param name="folder">The folder.</param>
/// <param name="inner">What the system said.</param>
public sealed class StoreLockedException(string folder, Exception? inner = null)
    : Exception($"{folder} is in use by another process. Stop that process or choose another data folder; nothing was changed.", inner)
{
    /// <summary>The folder.</summary>
    public string Folder { get; } = folder;
}
