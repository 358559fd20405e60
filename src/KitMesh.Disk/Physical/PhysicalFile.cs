using System.Runtime.InteropServices;
using Microsoft.Win32.SafeHandles;

namespace KitMesh.Disk.Physical;

/// <summary>A file of the machine.</summary>
internal sealed class PhysicalFile : IDiskFile
{
    private readonly SafeFileHandle _handle;

    internal PhysicalFile(string path, SafeFileHandle handle, bool direct)
    {
        Path = path;
        Alignment = direct ? AlignedBuffer.DefaultAlignment : 1;
        _handle = handle;
    }

    public string Path { get; }

    public int Alignment { get; }

    public DiskResult<long> Length()
    {
        try
        {
            return RandomAccess.GetLength(_handle);
        }
        catch (Exception exception) when (FaultTranslation.IsFieldFault(exception))
        {
            return FaultTranslation.FromException(exception, "read the length of", Path);
        }
    }

    public DiskResult<int> Read(long offset, Span<byte> into)
    {
        MustBeAligned(offset, into);
        int total = 0;
        try
        {
            while (total < into.Length)
            {
                int read = RandomAccess.Read(_handle, into[total..], offset + total);
                total += read;
                // A direct read that ends off the grid has met the end of the file; asking on would break the alignment.
                if (read == 0 || total % Alignment != 0)
                {
                    break;
                }
            }

            return total;
        }
        catch (Exception exception) when (FaultTranslation.IsFieldFault(exception))
        {
            return FaultTranslation.FromException(exception, "read", Path);
        }
    }

    public DiskResult Write(long offset, ReadOnlySpan<byte> bytes)
    {
        MustBeAligned(offset, bytes);
        try
        {
            RandomAccess.Write(_handle, bytes, offset);
            return DiskResult.Done;
        }
        catch (Exception exception) when (FaultTranslation.IsFieldFault(exception))
        {
            return FaultTranslation.FromException(exception, "write", Path);
        }
    }

    public DiskResult Reserve(long bytes)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(bytes);
        if (!OperatingSystem.IsLinux())
        {
            return new DiskFault(DiskFaultKind.NotSupported, "reserve room for", Path, "only done on Linux");
        }

        return bytes == 0 || SystemCalls.Reserve(_handle, SystemCalls.ReserveKeepSize, 0, bytes) == 0
            ? DiskResult.Done
            : FaultTranslation.FromLastError("reserve room for", Path);
    }

    public DiskResult SetLength(long bytes)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(bytes);
        try
        {
            RandomAccess.SetLength(_handle, bytes);
            return DiskResult.Done;
        }
        catch (Exception exception) when (FaultTranslation.IsFieldFault(exception))
        {
            return FaultTranslation.FromException(exception, "cut", Path);
        }
    }

    public DiskResult Sync()
    {
        try
        {
            RandomAccess.FlushToDisk(_handle);
            return DiskResult.Done;
        }
        catch (Exception exception) when (FaultTranslation.IsFieldFault(exception))
        {
            return FaultTranslation.FromException(exception, "sync", Path);
        }
    }

    public DiskResult DropCache()
    {
        if (!OperatingSystem.IsLinux())
        {
            return new DiskFault(DiskFaultKind.NotSupported, "drop the cached pages of", Path, "only done on Linux");
        }

        int number = SystemCalls.Advise(_handle, 0, 0, SystemCalls.AdviceDontNeed);
        return number == 0 ? DiskResult.Done : FaultTranslation.FromErrorNumber(number, "drop the cached pages of", Path);
    }

    public void Dispose() => _handle.Dispose();

    private void MustBeAligned(long offset, ReadOnlySpan<byte> buffer)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(offset);
        if (Alignment > 1 && (offset % Alignment != 0 || buffer.Length % Alignment != 0 || !IsAligned(buffer)))
        {
            throw new ArgumentException($"Direct I/O wants offset, length and buffer in multiples of {Alignment}; see {nameof(AlignedBuffer)}.");
        }
    }

    private unsafe bool IsAligned(ReadOnlySpan<byte> buffer)
    {
        fixed (byte* start = buffer)
        {
            return (nuint)start % (nuint)Alignment == 0;
        }
    }
}
