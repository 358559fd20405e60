using System.Runtime.InteropServices;

namespace KitMesh.Disk.Media;

/// <summary>An open file on a card or drive, read and written at offsets, past the page cache where the file system allows.</summary>
/// <remarks>Direct I/O wants offsets, lengths and memory aligned to <see cref="AlignedBuffer.DefaultAlignment"/>; a read may end short at the end of the file.</remarks>
public sealed unsafe class MediaFile : IDisposable
{
    private int _handle;

    private MediaFile(int handle, string path, bool direct)
    {
        _handle = handle;
        FullPath = path;
        IsDirect = direct;
    }

    /// <summary>Where it is.</summary>
    public string FullPath { get; }

    /// <summary>True when reads and writes go past the page cache.</summary>
    public bool IsDirect { get; }

    /// <summary>Opens a file for reading; a link is not followed.</summary>
    /// <param name="path">The file.</param>
    /// <param name="wantDirect">Go past the page cache if the file system allows it; see <see cref="IsDirect"/>.</param>
    /// <exception cref="MediaFault">It cannot be opened.</exception>
    public static MediaFile OpenRead(string path, bool wantDirect) =>
        Open(path, SystemCalls.OpenReadOnly | SystemCalls.OpenNoFollow, wantDirect);

    /// <summary>Makes a new file; one that exists is refused.</summary>
    /// <param name="path">The file.</param>
    /// <param name="wantDirect">Go past the page cache if the file system allows it; see <see cref="IsDirect"/>.</param>
    /// <exception cref="MediaFault">It cannot be made.</exception>
    public static MediaFile Create(string path, bool wantDirect) =>
        Open(path, SystemCalls.OpenReadWrite | SystemCalls.OpenCreate | SystemCalls.OpenExclusive | SystemCalls.OpenNoFollow, wantDirect);

    /// <summary>Opens a file for reading and writing, and makes it when it is missing.</summary>
    /// <param name="path">The file.</param>
    /// <exception cref="MediaFault">It cannot be opened.</exception>
    public static MediaFile OpenOrCreate(string path) =>
        Open(path, SystemCalls.OpenReadWrite | SystemCalls.OpenCreate | SystemCalls.OpenNoFollow, wantDirect: false);

    /// <summary>Opens a folder, to flush it or its file system.</summary>
    /// <param name="path">The folder.</param>
    /// <exception cref="MediaFault">It cannot be opened.</exception>
    public static MediaFile OpenFolder(string path) => Open(path, SystemCalls.OpenReadOnly | SystemCalls.OpenFolder, wantDirect: false);

    /// <summary>What the system calls the open file.</summary>
    internal int Handle => _handle;

    /// <summary>Opens a folder by its path from another, to flush it.</summary>
    /// <param name="from">Handle of an open folder, or the current one.</param>
    /// <param name="path">The folder; its path from there.</param>
    /// <exception cref="MediaFault">It cannot be opened.</exception>
    internal static MediaFile OpenFolder(int from, string path)
    {
        fixed (byte* name = RawName.ToBytes(path))
        {
            MediaPulse.Calling();
            int handle = SystemCalls.OpenFrom(from, name, SystemCalls.OpenReadOnly | SystemCalls.OpenFolder | SystemCalls.OpenCloseOnExec, 0);
            int why = Marshal.GetLastPInvokeError();
            MediaPulse.Returned();
            return handle >= 0 ? new MediaFile(handle, path, direct: false) : throw new MediaFault("opening", path, why);
        }
    }

    /// <summary>Reads once.</summary>
    /// <param name="offset">Where from.</param>
    /// <param name="into">Where to; outside the collected heap and aligned when <see cref="IsDirect"/>.</param>
    /// <returns>Bytes read; 0 at the end of the file.</returns>
    /// <exception cref="MediaFault">The medium refused.</exception>
    public int Read(long offset, Span<byte> into)
    {
        fixed (byte* start = into)
        {
            nint read;
            do
            {
                MediaPulse.Calling();
                read = SystemCalls.Read(_handle, start, (nuint)into.Length, offset);
                MediaPulse.Returned();
            }
            while (read < 0 && Marshal.GetLastPInvokeError() == Interrupted);

            return read >= 0 ? (int)read : throw Fault("read");
        }
    }

    /// <summary>Writes all of a piece.</summary>
    /// <param name="offset">Where to.</param>
    /// <param name="bytes">The piece; outside the collected heap and aligned when <see cref="IsDirect"/>.</param>
    /// <exception cref="MediaFault">The medium refused; what was written of the piece is not told.</exception>
    public void Write(long offset, ReadOnlySpan<byte> bytes)
    {
        while (!bytes.IsEmpty)
        {
            nint written;
            fixed (byte* start = bytes)
            {
                MediaPulse.Calling();
                written = SystemCalls.Write(_handle, start, (nuint)bytes.Length, offset);
                MediaPulse.Returned();
            }

            if (written < 0 && Marshal.GetLastPInvokeError() == Interrupted)
            {
                continue;
            }

            if (written <= 0)
            {
                // Nothing written and no error is what some file systems say when they are full.
                throw written < 0 ? Fault("write") : new MediaFault("write", FullPath, ErrorNumber.NoSpace);
            }

            bytes = bytes[(int)written..];
            offset += written;
        }
    }

    /// <summary>Sets blocks aside for a size, so that a full drive says so before and not in the middle.</summary>
    /// <param name="size">Bytes.</param>
    /// <returns>False when the file system cannot do that.</returns>
    /// <exception cref="MediaFault">There is no room, or the medium refused.</exception>
    public bool TryAllocate(long size)
    {
        if (size == 0)
        {
            return true;
        }

        MediaPulse.Calling();
        int result = SystemCalls.Allocate(_handle, 0, 0, size);
        MediaPulse.Returned();
        if (result == 0)
        {
            return true;
        }

        int errno = Marshal.GetLastPInvokeError();
        return errno is ErrorNumber.NotSupported or ErrorNumber.NotImplemented or ErrorNumber.Invalid or Interrupted
            ? false
            : throw new MediaFault("allocation", FullPath, errno);
    }

    /// <summary>Cuts or extends the file.</summary>
    /// <param name="length">Bytes.</param>
    /// <exception cref="MediaFault">The medium refused.</exception>
    public void SetLength(long length)
    {
        MediaPulse.Calling();
        Check(SystemCalls.SetLength(_handle, length), "cut");
    }

    /// <summary>Sets when the file was last written, as a copy of footage should keep it.</summary>
    /// <param name="nanoseconds">Nanoseconds since 1970 UTC; the file system rounds it.</param>
    /// <exception cref="MediaFault">The medium refused.</exception>
    public void SetModified(long nanoseconds)
    {
        // struct timespec twice: access, then modification. UTIME_OMIT leaves the access time as it is.
        long seconds = Math.DivRem(nanoseconds, 1_000_000_000, out long rest);
        if (rest < 0)
        {
            seconds--;
            rest += 1_000_000_000;
        }

        long* times = stackalloc long[4];
        times[0] = 0;
        times[1] = LeaveTime;
        times[2] = seconds;
        times[3] = rest;
        MediaPulse.Calling();
        Check(SystemCalls.SetTimes(_handle, times), "dating");
    }

    /// <summary>Brings the file, or the folder's names, to the medium.</summary>
    /// <exception cref="MediaFault">The flush failed: what was written since the last one must be taken as lost.</exception>
    public void Flush()
    {
        MediaPulse.Calling();
        Check(SystemCalls.Flush(_handle), "flush");
    }

    /// <summary>Brings the whole file system to the medium; tells failures since this handle was opened.</summary>
    /// <exception cref="MediaFault">The flush failed: what was written since the last one must be taken as lost.</exception>
    public void FlushFileSystem()
    {
        MediaPulse.Calling();
        Check(SystemCalls.FlushFileSystem(_handle), "flush of the file system");
    }

    /// <summary>Asks the system to forget what it holds of the file in memory. Only clean pages go: flush first.</summary>
    public void DropCache() => _ = SystemCalls.Advise(_handle, 0, 0, SystemCalls.AdviceDontNeed);

    /// <summary>On a block device: writes out and forgets what the system holds of it in memory.</summary>
    /// <returns>False when this user may not, or the file is no block device.</returns>
    public bool TryFlushDeviceCache() => SystemCalls.Control(_handle, SystemCalls.FlushBlockDevice, 0) == 0;

    /// <summary>Takes the file for this process alone, until it is closed.</summary>
    /// <returns>False when another process has it.</returns>
    /// <exception cref="MediaFault">The file system knows no locks.</exception>
    public bool TryLock()
    {
        if (SystemCalls.Lock(_handle, SystemCalls.LockExclusive | SystemCalls.LockNoWait) == 0)
        {
            return true;
        }

        return Marshal.GetLastPInvokeError() == ErrorNumber.Again ? false : throw Fault("lock");
    }

    /// <summary>
    /// Gives the lock back. Closing alone is not enough: a program that this process is just starting holds the same open
    /// file for a moment, and the lock with it.
    /// </summary>
    public void Unlock() => _ = SystemCalls.Lock(_handle, SystemCalls.LockRelease);

    /// <summary>What the file system says of the open file.</summary>
    /// <exception cref="MediaFault">The medium refused.</exception>
    public MediaStat Stat()
    {
        byte* raw = stackalloc byte[MediaStat.RawSize];
        byte* empty = stackalloc byte[1];
        empty[0] = 0;
        MediaPulse.Calling();
        Check(SystemCalls.Stat(_handle, empty, SystemCalls.AtEmptyPath, SystemCalls.StatBasic, raw), "look");
        return MediaStat.Read(new ReadOnlySpan<byte>(raw, MediaStat.RawSize));
    }

    /// <summary>The file system that the file is on.</summary>
    /// <exception cref="MediaFault">The medium refused.</exception>
    public MediaVolume Volume()
    {
        byte* raw = stackalloc byte[MediaVolume.RawSize];
        MediaPulse.Calling();
        Check(SystemCalls.StatFileSystem(_handle, raw), "look at the file system");
        return MediaVolume.Read(new ReadOnlySpan<byte>(raw, MediaVolume.RawSize));
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        int handle = Interlocked.Exchange(ref _handle, -1);
        if (handle >= 0)
        {
            _ = SystemCalls.Close(handle);
        }
    }

    private const int Interrupted = 4;
    private const long LeaveTime = 0x3FFFFFFE;

    private static MediaFile Open(string path, int flags, bool wantDirect)
    {
        fixed (byte* name = RawName.ToBytes(path))
        {
            int common = flags | SystemCalls.OpenCloseOnExec;
            if (wantDirect)
            {
                MediaPulse.Calling();
                int direct = SystemCalls.Open(name, common | SystemCalls.OpenDirect, 0x1B4);
                int errno = Marshal.GetLastPInvokeError();
                MediaPulse.Returned();
                if (direct >= 0)
                {
                    return new MediaFile(direct, path, direct: true);
                }

                if (errno is not (ErrorNumber.Invalid or ErrorNumber.NotSupported))
                {
                    throw new MediaFault("opening", path, errno);
                }

                // Linux makes the file before it finds that its file system refuses direct I/O.
                common &= ~SystemCalls.OpenExclusive;
            }

            MediaPulse.Calling();
            int handle = SystemCalls.Open(name, common, 0x1B4);
            int why = Marshal.GetLastPInvokeError();
            MediaPulse.Returned();
            return handle >= 0 ? new MediaFile(handle, path, direct: false) : throw new MediaFault("opening", path, why);
        }
    }

    private void Check(int result, string what)
    {
        MediaPulse.Returned();
        if (result < 0)
        {
            throw Fault(what);
        }
    }

    private MediaFault Fault(string what) => new(what, FullPath, Marshal.GetLastPInvokeError());
}
