using System.Globalization;
using System.Text;
using Microsoft.Win32.SafeHandles;

namespace KitMesh.Disk.Physical;

/// <summary>
/// A file held by one process. The framework takes an advisory lock (flock on Unix, a share mode on Windows) that the
/// system gives back when the process ends, so no stale lock is left by kill -9 or a power cut. The process number
/// inside is only there to be read out to a person.
/// </summary>
internal sealed class LockFile : IDisposable
{
    private readonly SafeFileHandle _handle;

    private LockFile(SafeFileHandle handle) => _handle = handle;

    internal static DiskResult<IDisposable> Take(string path)
    {
        SafeFileHandle handle;
        try
        {
            handle = File.OpenHandle(path, FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.None);
        }
        catch (IOException exception) when (exception is not (FileNotFoundException or DirectoryNotFoundException or PathTooLongException))
        {
            DiskFault fault = FaultTranslation.FromException(exception, "lock", path);
            return fault.Kind is DiskFaultKind.Other or DiskFaultKind.InUse
                ? fault with { Kind = DiskFaultKind.InUse, Detail = HolderOf(path) }
                : fault;
        }
        catch (Exception exception) when (FaultTranslation.IsFieldFault(exception))
        {
            return FaultTranslation.FromException(exception, "lock", path);
        }

        WriteHolder(handle);
        return new LockFile(handle);
    }

    public void Dispose() => _handle.Dispose();

    private static void WriteHolder(SafeFileHandle handle)
    {
        try
        {
            RandomAccess.SetLength(handle, 0);
            RandomAccess.Write(handle, Encoding.ASCII.GetBytes(Environment.ProcessId.ToString(CultureInfo.InvariantCulture)), 0);
        }
        catch (Exception exception) when (FaultTranslation.IsFieldFault(exception))
        {
            // On a full disk the lock still holds; only its label is missing.
        }
    }

    private static string HolderOf(string path)
    {
        DiskResult<IDiskFile> opened = new PhysicalDisk().Open(path, DiskOpen.ToRead);
        if (opened.Failed(out _, out IDiskFile? file))
        {
            return "held by another process";
        }

        using (file)
        {
            Span<byte> text = stackalloc byte[32];
            DiskResult<int> read = file.Read(0, text);
            return read.Fault is null && int.TryParse(text[..read.Value], NumberStyles.None, CultureInfo.InvariantCulture, out int process)
                ? $"held by process {process}"
                : "held by another process";
        }
    }
}
