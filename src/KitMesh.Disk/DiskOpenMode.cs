namespace KitMesh.Disk;

/// <summary>What must be true of a name when a file is opened.</summary>
public enum DiskOpenMode
{
    /// <summary>The file is there.</summary>
    Existing,

    /// <summary>The file is not there yet. Its name survives a power cut only after <see cref="IDisk.SyncDirectory"/>.</summary>
    CreateNew,

    /// <summary>Either; a new file starts empty.</summary>
    ExistingOrNew,

    /// <summary>Either; an old file is emptied.</summary>
    Emptied,
}
