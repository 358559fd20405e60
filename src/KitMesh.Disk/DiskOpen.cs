namespace KitMesh.Disk;

/// <summary>How to open a file.</summary>
/// <param name="Mode">What must be true of the name.</param>
/// <param name="Writable">Whether it may be written.</param>
/// <param name="Direct">
/// Whether reads and writes bypass the system's cache. Offsets, lengths and buffers must then be multiples of
/// <see cref="IDiskFile.Alignment"/>; see <see cref="AlignedBuffer"/>. A file system that cannot do it answers
/// <see cref="DiskFaultKind.NotSupported"/>.
/// </param>
public readonly record struct DiskOpen(DiskOpenMode Mode, bool Writable, bool Direct = false)
{
    /// <summary>An existing file, to read.</summary>
    public static DiskOpen ToRead => new(DiskOpenMode.Existing, Writable: false);

    /// <summary>A new file, to write and read.</summary>
    public static DiskOpen New => new(DiskOpenMode.CreateNew, Writable: true);

    /// <summary>An existing file, to write and read.</summary>
    public static DiskOpen ToWrite => new(DiskOpenMode.Existing, Writable: true);

    /// <summary>The same, past the system's cache.</summary>
    public DiskOpen Directly => this with { Direct = true };
}
