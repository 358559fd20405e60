namespace KitMesh.Disk;

/// <summary>What can go wrong with a disk in the field. The set is closed; switch over it exhaustively.</summary>
public enum DiskFaultKind
{
    /// <summary>No such file or directory.</summary>
    NotFound,

    /// <summary>The name is taken.</summary>
    AlreadyThere,

    /// <summary>No space or no quota is left. What the operation began may be half there.</summary>
    NoSpace,

    /// <summary>This user may not do it, or the file system is mounted read-only.</summary>
    AccessDenied,

    /// <summary>Another process holds it.</summary>
    InUse,

    /// <summary>The device failed to read or write. After a failed sync, nothing written since the last good sync may be trusted.</summary>
    InputOutput,

    /// <summary>The device is gone (pulled out, or its file system was unmounted).</summary>
    DeviceGone,

    /// <summary>The file system cannot do this (direct I/O, reserving space, a file this large, such a name).</summary>
    NotSupported,

    /// <summary>Something else; the detail has the system's own words.</summary>
    Other,
}
