using System.Reflection;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;

namespace KitMesh.Disk.Media;

/// <summary>The C library's calls that .NET does not offer: direct I/O, raw names, whole-file-system flush, locks.</summary>
/// <remarks>
/// Symbols are looked up through the program itself and not in a library named by file, so that the system's own order
/// holds: a layer that the user preloads takes part, as it does for any C program.
/// </remarks>
internal static unsafe partial class SystemCalls
{
    public const int OpenReadOnly = 0;
    public const int OpenWriteOnly = 1;
    public const int OpenReadWrite = 2;
    public const int OpenCreate = 0x40;
    public const int OpenExclusive = 0x80;
    public const int OpenCloseOnExec = 0x80000;
    public const int OpenNoAccessTime = 0x40000;
    public const int AdviceDontNeed = 4;
    public const int AtCurrentFolder = -100;
    public const int AtNoFollow = 0x100;
    public const int AtEmptyPath = 0x1000;
    public const int StatBasic = 0x7ff;
    public const int RenameNoReplace = 1;
    public const int LockExclusive = 2;
    public const int LockNoWait = 4;
    public const int LockRelease = 8;

    // linux/fs.h, BLKFLSBUF
    public const nuint FlushBlockDevice = 0x1261;

    private const string C = "kitmesh-c";

    private static readonly bool IsArm = RuntimeInformation.ProcessArchitecture is Architecture.Arm64 or Architecture.Arm;

    public static readonly int OpenDirect = IsArm ? 0x10000 : 0x4000;
    public static readonly int OpenFolder = IsArm ? 0x4000 : 0x10000;
    public static readonly int OpenNoFollow = IsArm ? 0x8000 : 0x20000;

    [ModuleInitializer]
    [System.Diagnostics.CodeAnalysis.SuppressMessage("Usage", "CA2255", Justification = "The lookup must stand before the first call, wherever that is.")]
    internal static void LookUpInTheProgram() => NativeLibrary.SetDllImportResolver(
        Assembly.GetExecutingAssembly(),
        static (name, _, _) => name == C ? NativeLibrary.GetMainProgramHandle() : 0);

    [LibraryImport(C, EntryPoint = "open", SetLastError = true)]
    public static partial int Open(byte* path, int flags, int mode);

    [LibraryImport(C, EntryPoint = "mount", SetLastError = true)]
    public static partial int Mount(byte* source, byte* target, byte* type, ulong flags, byte* data);

    [LibraryImport(C, EntryPoint = "umount2", SetLastError = true)]
    public static partial int Unmount(byte* target, int flags);

    [LibraryImport(C, EntryPoint = "close", SetLastError = true)]
    public static partial int Close(int file);

    [LibraryImport(C, EntryPoint = "pread", SetLastError = true)]
    public static partial nint Read(int file, void* buffer, nuint count, long offset);

    [LibraryImport(C, EntryPoint = "pwrite", SetLastError = true)]
    public static partial nint Write(int file, void* buffer, nuint count, long offset);

    [LibraryImport(C, EntryPoint = "fsync", SetLastError = true)]
    public static partial int Flush(int file);

    [LibraryImport(C, EntryPoint = "syncfs", SetLastError = true)]
    public static partial int FlushFileSystem(int file);

    [LibraryImport(C, EntryPoint = "ftruncate", SetLastError = true)]
    public static partial int SetLength(int file, long length);

    [LibraryImport(C, EntryPoint = "fallocate", SetLastError = true)]
    public static partial int Allocate(int file, int mode, long offset, long length);

    [LibraryImport(C, EntryPoint = "posix_fadvise", SetLastError = true)]
    public static partial int Advise(int file, long offset, long length, int advice);

    [LibraryImport(C, EntryPoint = "statx", SetLastError = true)]
    public static partial int Stat(int folder, byte* path, int flags, uint mask, void* into);

    [LibraryImport(C, EntryPoint = "fstatfs", SetLastError = true)]
    public static partial int StatFileSystem(int file, void* into);

    [LibraryImport(C, EntryPoint = "renameat2", SetLastError = true)]
    public static partial int Rename(int fromFolder, byte* from, int toFolder, byte* to, uint flags);

    [LibraryImport(C, EntryPoint = "unlink", SetLastError = true)]
    public static partial int Remove(byte* path);

    [LibraryImport(C, EntryPoint = "openat", SetLastError = true)]
    public static partial int OpenFrom(int folder, byte* path, int flags, int mode);

    [LibraryImport(C, EntryPoint = "mkdirat", SetLastError = true)]
    public static partial int MakeFolder(int folder, byte* path, int mode);

    [LibraryImport(C, EntryPoint = "flock", SetLastError = true)]
    public static partial int Lock(int file, int operation);

    [LibraryImport(C, EntryPoint = "futimens", SetLastError = true)]
    public static partial int SetTimes(int file, long* times);

    [LibraryImport(C, EntryPoint = "ioctl", SetLastError = true)]
    public static partial int Control(int file, nuint request, nint argument);

    [LibraryImport(C, EntryPoint = "poll", SetLastError = true)]
    public static partial int Poll(PollEntry* entries, nuint count, int timeoutMilliseconds);

    [LibraryImport(C, EntryPoint = "opendir", SetLastError = true)]
    public static partial nint OpenFolderList(byte* path);

    [LibraryImport(C, EntryPoint = "readdir", SetLastError = true)]
    public static partial byte* NextEntry(nint list);

    [LibraryImport(C, EntryPoint = "closedir", SetLastError = true)]
    public static partial int CloseFolderList(nint list);

    [LibraryImport(C, EntryPoint = "mmap", SetLastError = true)]
    private static partial nint Map(nint wish, nuint length, int protection, int flags, int file, nint offset);

    [LibraryImport(C, EntryPoint = "munmap", SetLastError = true)]
    private static partial int Unmap(void* start, nuint length);

    [LibraryImport(C, EntryPoint = "madvise", SetLastError = true)]
    private static partial int AdviseMemory(void* start, nuint length, int advice);

    /// <summary>Zeroed memory of its own, aligned to pages; to huge pages, and asking for them, where it is a whole number of those.</summary>
    /// <param name="length">Bytes.</param>
    /// <exception cref="OutOfMemoryException">There is none.</exception>
    public static void* MapMemory(int length)
    {
        // Direct I/O pins each page of a buffer for each request: 1024 for 4 MiB in small pages, two in huge ones.
        const int ReadAndWrite = 3, PrivateAndAnonymous = 0x22, HugePage = 2 << 20, AdviseHugePages = 14;
        int slack = length % HugePage == 0 ? HugePage : 0;
        nint start = Map(0, (nuint)(length + slack), ReadAndWrite, PrivateAndAnonymous, -1, 0);
        if (start == -1)
        {
            throw new OutOfMemoryException($"There is no memory for a buffer of {length} bytes.");
        }

        if (slack == 0)
        {
            return (void*)start;
        }

        nint aligned = (start + HugePage - 1) & ~((nint)HugePage - 1);
        if (aligned > start)
        {
            _ = Unmap((void*)start, (nuint)(aligned - start));
        }

        if (start + slack > aligned)
        {
            _ = Unmap((void*)(aligned + length), (nuint)(start + slack - aligned));
        }

        // Refused where the kernel has none: small pages serve as well.
        _ = AdviseMemory((void*)aligned, (nuint)length, AdviseHugePages);
        return (void*)aligned;
    }

    /// <summary>Gives memory back to the system.</summary>
    /// <param name="start">Where it starts.</param>
    /// <param name="length">Bytes.</param>
    public static void UnmapMemory(void* start, int length) => _ = Unmap(start, (nuint)length);

    /// <summary>struct pollfd.</summary>
    [StructLayout(LayoutKind.Sequential)]
    internal struct PollEntry
    {
        public int File;
        public short Asked;
        public short Told;
    }
}
