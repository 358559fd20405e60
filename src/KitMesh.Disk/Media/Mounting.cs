namespace KitMesh.Disk.Media;

/// <summary>Mounts and unmounts file systems (mount(2), umount2(2)); needs root.</summary>
public static unsafe class Mounting
{
    private const ulong ReadOnly = 1;
    private const ulong NoSetUser = 2;
    private const ulong NoDevices = 4;
    private const ulong Again = 32;
    private const ulong ThisMountOnly = 4096;

    /// <summary>Mounts something; without set-user programs and devices on it.</summary>
    /// <param name="source">The device, or a word where there is none.</param>
    /// <param name="folder">Where.</param>
    /// <param name="type">The file system's name.</param>
    /// <param name="readOnly">Whether nothing may be written.</param>
    /// <param name="options">The file system's own options; empty for none.</param>
    /// <exception cref="MediaFault">It cannot be mounted.</exception>
    public static void Mount(string source, string folder, string type, bool readOnly, string options = "")
    {
        fixed (byte* from = RawName.ToBytes(source), to = RawName.ToBytes(folder), kind = RawName.ToBytes(type), data = RawName.ToBytes(options))
        {
            if (SystemCalls.Mount(from, to, kind, NoSetUser | NoDevices | (readOnly ? ReadOnly : 0), data) != 0)
            {
                throw new MediaFault("mounting", folder, System.Runtime.InteropServices.Marshal.GetLastPInvokeError());
            }
        }
    }

    /// <summary>Makes one mount read-only, whatever else its file system is used for.</summary>
    /// <param name="folder">Where it is mounted.</param>
    /// <returns>False when this user may not.</returns>
    public static bool TryProtect(string folder)
    {
        fixed (byte* name = RawName.ToBytes(folder))
        {
            return SystemCalls.Mount(null, name, null, Again | ThisMountOnly | ReadOnly | NoSetUser | NoDevices, null) == 0;
        }
    }

    /// <summary>Unmounts what lies on a folder.</summary>
    /// <param name="folder">The folder.</param>
    /// <exception cref="MediaFault">Somebody still uses it, or this user may not.</exception>
    public static void Unmount(string folder)
    {
        fixed (byte* name = RawName.ToBytes(folder))
        {
            if (SystemCalls.Unmount(name, 0) != 0)
            {
                throw new MediaFault("unmounting", folder, System.Runtime.InteropServices.Marshal.GetLastPInvokeError());
            }
        }
    }
}
