namespace KitMesh.Disk.Media;

/// <summary>Linux error numbers that callers tell apart (the same on x86-64 and arm64).</summary>
public static class ErrorNumber
{
    /// <summary>No such file or folder.</summary>
    public const int NotFound = 2;

    /// <summary>Input or output error: the medium failed.</summary>
    public const int InputOutput = 5;

    /// <summary>No such device or address: it went away.</summary>
    public const int NoDeviceAddress = 6;

    /// <summary>Try again; also what a held lock says.</summary>
    public const int Again = 11;

    /// <summary>Permission denied.</summary>
    public const int AccessDenied = 13;

    /// <summary>It exists.</summary>
    public const int Exists = 17;

    /// <summary>No such device: it went away.</summary>
    public const int NoDevice = 19;

    /// <summary>Not a folder.</summary>
    public const int NotFolder = 20;

    /// <summary>Invalid argument; also what a file system says that refuses direct I/O.</summary>
    public const int Invalid = 22;

    /// <summary>The file would be larger than the file system takes.</summary>
    public const int FileTooLarge = 27;

    /// <summary>No space left.</summary>
    public const int NoSpace = 28;

    /// <summary>The file system is read-only.</summary>
    public const int ReadOnly = 30;

    /// <summary>The name is too long.</summary>
    public const int NameTooLong = 36;

    /// <summary>Not implemented.</summary>
    public const int NotImplemented = 38;

    /// <summary>Too many symbolic links; also what a link says that must not be followed.</summary>
    public const int Loop = 40;

    /// <summary>Not supported here.</summary>
    public const int NotSupported = 95;

    /// <summary>The handle is stale: a network drive went away.</summary>
    public const int Stale = 116;

    /// <summary>The file system needs repair.</summary>
    public const int NeedsRepair = 117;

    /// <summary>The quota is used up.</summary>
    public const int Quota = 122;

    /// <summary>The medium went away.</summary>
    public const int NoMedium = 123;
}
