using System.Runtime.InteropServices;

namespace KitMesh.Demo.Devices;

// Problem: the scenario's clock runs thousands of times faster than the agents' processors. On a busy machine a thermometer's
// poll comes machine milliseconds late, which are world hours, and the guard rightly says that nobody watches the pack.
// Method: the world waits until the thermometer's file was read. Who reads a file leaves no trace in it, but the kernel tells
// (inotify(7), IN_ACCESS). Where there is no inotify the world does not wait, and the scenario is as true as the machine is quick.

/// <summary>Tells whether a file in a folder was read since it was last asked.</summary>
public sealed partial class ReadNotice : IDisposable
{
    private const int NonBlocking = 0x800;
    private const int CloseOnExec = 0x80000;
    private const uint Access = 1;
    private const int BufferBytes = 64 << 10;

    private readonly int _handle;
    private readonly byte[] _buffer = new byte[BufferBytes];

    /// <summary>Watches a folder.</summary>
    /// <param name="folder">The folder; what lies in folders below it is not watched.</param>
    public ReadNotice(string folder)
    {
        _handle = OperatingSystem.IsLinux() ? Initialise(NonBlocking | CloseOnExec) : -1;
        IsAble = _handle >= 0 && AddWatch(_handle, folder, Access) >= 0;
    }

    /// <summary>Whether this system tells of reads at all.</summary>
    public bool IsAble { get; }

    /// <summary>Whether anything was read since the last question.</summary>
    public bool WasRead()
    {
        bool any = false;
        while (IsAble && Read(_handle, _buffer, BufferBytes) > 0)
        {
            any = true;
        }

        return any;
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        if (_handle >= 0)
        {
            _ = Close(_handle);
        }
    }

    [LibraryImport("libc", EntryPoint = "inotify_init1", SetLastError = true)]
    private static partial int Initialise(int flags);

    [LibraryImport("libc", EntryPoint = "inotify_add_watch", SetLastError = true, StringMarshalling = StringMarshalling.Utf8)]
    private static partial int AddWatch(int handle, string path, uint mask);

    [LibraryImport("libc", EntryPoint = "read", SetLastError = true)]
    private static partial nint Read(int handle, [Out] byte[] buffer, nint count);

    [LibraryImport("libc", EntryPoint = "close", SetLastError = true)]
    private static partial int Close(int handle);
}
