namespace KitMesh.Domain.Reports;

/// <summary>How surely the bytes of a read-back came from the medium and not from memory, weakest first.</summary>
public enum ReadBackLevel
{
    /// <summary>Read through the page cache: says nothing about the medium.</summary>
    Cached = 0,

    /// <summary>The cache was dropped for the file before reading.</summary>
    CacheDropped = 1,

    /// <summary>Direct I/O past the page cache.</summary>
    Direct = 2,

    /// <summary>The file system was unmounted and mounted again in between.</summary>
    Remounted = 3,

    /// <summary>The drive lost its power in between.</summary>
    PowerCycled = 4,
}
