using System.Runtime.InteropServices;

namespace KitMesh.Disk.Physical;

/// <summary>The calls of Linux and macOS that the framework does not offer.</summary>
/// <remarks>
/// Trap: the numbers of O_DIRECT and O_DIRECTORY are swapped between x86 and Arm (Linux, include/uapi/asm-generic/fcntl.h
/// and arch/arm64/include/uapi/asm/fcntl.h).
/// </remarks>
internal static partial class SystemCalls
{
    internal const int ReadOnly = 0;
    internal const int ReadWrite = 2;
    internal const int AdviceDontNeed = 4;
    internal const int ReserveKeepSize = 1;

    internal static bool IsUnix => !OperatingSystem.IsWindows();

    internal static int CloseOnExec => OperatingSystem.IsMacOS() ? 0x1000000 : 0x80000;

    internal static int Create => OperatingSystem.IsMacOS() ? 0x200 : 0x40;

    internal static int Exclusive => OperatingSystem.IsMacOS() ? 0x800 : 0x80;

    internal static int Truncate => OperatingSystem.IsMacOS() ? 0x400 : 0x200;

    internal static int Direct => IsArm ? 0x10000 : 0x4000;

    private static bool IsArm => RuntimeInformation.ProcessArchitecture is Architecture.Arm or Architecture.Arm64;

    [LibraryImport("libc", EntryPoint = "open", SetLastError = true, StringMarshalling = StringMarshalling.Utf8)]
    internal static partial int Open(string path, int flags, int mode);

    [LibraryImport("libc", EntryPoint = "close", SetLastError = true)]
    internal static partial int Close(int descriptor);

    [LibraryImport("libc", EntryPoint = "fsync", SetLastError = true)]
    internal static partial int Sync(int descriptor);

    [LibraryImport("libc", EntryPoint = "rename", SetLastError = true, StringMarshalling = StringMarshalling.Utf8)]
    internal static partial int Rename(string from, string to);


    [LibraryImport("libc", EntryPoint = "fallocate", SetLastError = true)]
    internal static partial int Reserve(SafeHandle descriptor, int mode, long offset, long length);

    [LibraryImport("libc", EntryPoint = "posix_fadvise")]
    internal static partial int Advise(SafeHandle descriptor, long offset, long length, int advice);
}
