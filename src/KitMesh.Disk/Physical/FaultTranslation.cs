using System.Runtime.InteropServices;

namespace KitMesh.Disk.Physical;

/// <summary>The one door from the system's exceptions and error numbers to <see cref="DiskFault"/>.</summary>
internal static class FaultTranslation
{
    internal static DiskFault FromLastError(string operation, string path)
    {
        int number = Marshal.GetLastPInvokeError();
        return new(OfErrorNumber(number), operation, path, Marshal.GetPInvokeErrorMessage(number));
    }

    internal static DiskFault FromErrorNumber(int number, string operation, string path) =>
        new(OfErrorNumber(number), operation, path, Marshal.GetPInvokeErrorMessage(number));

    /// <summary>Whether an exception is a field fault; everything else is a programmer's fault and must pass.</summary>
    internal static bool IsFieldFault(Exception exception) => exception is IOException or UnauthorizedAccessException or NotSupportedException;

    internal static DiskFault FromException(Exception exception, string operation, string path) =>
        new(KindOf(exception), operation, path, exception.Message);

    private static DiskFaultKind KindOf(Exception exception) => exception switch
    {
        FileNotFoundException or DirectoryNotFoundException or DriveNotFoundException => DiskFaultKind.NotFound,
        UnauthorizedAccessException => DiskFaultKind.AccessDenied,
        PathTooLongException or NotSupportedException => DiskFaultKind.NotSupported,
        _ when OperatingSystem.IsWindows() => OfWindowsResult(exception.HResult),
        _ => OfErrorNumber(exception.HResult),
    };

    /// <summary>Windows errors as HRESULT_FROM_WIN32; not run on Windows so far.</summary>
    private static DiskFaultKind OfWindowsResult(int result) => unchecked((uint)result) switch
    {
        0x80070070 or 0x80070027 => DiskFaultKind.NoSpace,
        0x80070020 or 0x80070021 => DiskFaultKind.InUse,
        0x80070050 or 0x800700B7 => DiskFaultKind.AlreadyThere,
        0x80070013 => DiskFaultKind.AccessDenied,
        0x8007045D or 0x80070017 => DiskFaultKind.InputOutput,
        0x80070015 or 0x8007045B => DiskFaultKind.DeviceGone,
        _ => DiskFaultKind.Other,
    };

    /// <summary>Error numbers as errno(3); the first 34 are the same on Linux and macOS, later ones are told apart.</summary>
    private static DiskFaultKind OfErrorNumber(int number) => number switch
    {
        2 or 20 => DiskFaultKind.NotFound, // ENOENT, ENOTDIR
        1 or 13 or 30 => DiskFaultKind.AccessDenied, // EPERM, EACCES, EROFS
        17 => DiskFaultKind.AlreadyThere, // EEXIST
        28 => DiskFaultKind.NoSpace, // ENOSPC
        5 => DiskFaultKind.InputOutput, // EIO
        6 or 19 => DiskFaultKind.DeviceGone, // ENXIO, ENODEV
        16 or 26 => DiskFaultKind.InUse, // EBUSY, ETXTBSY
        18 or 22 or 27 => DiskFaultKind.NotSupported, // EXDEV, EINVAL, EFBIG
        _ when OperatingSystem.IsMacOS() => number switch
        {
            69 => DiskFaultKind.NoSpace, // EDQUOT
            66 => DiskFaultKind.AlreadyThere, // ENOTEMPTY
            35 => DiskFaultKind.InUse, // EWOULDBLOCK
            45 or 102 => DiskFaultKind.NotSupported, // ENOTSUP
            _ => DiskFaultKind.Other,
        },
        122 => DiskFaultKind.NoSpace, // EDQUOT
        39 => DiskFaultKind.AlreadyThere, // ENOTEMPTY
        11 => DiskFaultKind.InUse, // EWOULDBLOCK
        95 or 38 => DiskFaultKind.NotSupported, // EOPNOTSUPP, ENOSYS
        116 or 117 => DiskFaultKind.InputOutput, // ESTALE, EUCLEAN
        _ => DiskFaultKind.Other,
    };
}
