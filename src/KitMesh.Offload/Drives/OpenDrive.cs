using System.Globalization;
using System.Text;
using KitMesh.Disk.Media;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Offload.Drives;

/// <summary>A drive that this process holds for writing: its identity, its lock, its list of copies and its folders.</summary>
internal sealed class OpenDrive : IDisposable
{
    private const string LockPath = $"{DriveIdentity.Folder}/lock";
    private const string ListPath = $"{DriveIdentity.Folder}/copies";
    private const string PartialFolder = $"{DriveIdentity.Folder}/partial";
    private const string BadFolder = $"{DriveIdentity.Folder}/bad";

    private readonly MediaFile _lock;
    private readonly HashSet<string> _folders = new(StringComparer.Ordinal);
    private readonly Dictionary<string, bool> _newFolders = new(StringComparer.Ordinal);
    private readonly Lazy<string?> _answer;
    private readonly Lazy<DriveAttachment?> _attachment;
    private long _partials;

    private OpenDrive(string root, DriveIdentity identity, MediaFile held, MediaFile top, CopyList copies)
    {
        Root = root;
        Identity = identity;
        _lock = held;
        Top = top;
        Copies = copies;
        Volume = top.Volume();
        Device = top.Stat().Device;
        Mount = MountTable.Of(root);
        _answer = new(() => DriveHealthProbe.Answer(root));
        _attachment = new(() => DriveAttachment.Now(Mount, DriveHealthProbe.PowerCycles(_answer.Value)));
    }

    /// <summary>The stretch of being attached that runs now; null when the system does not tell.</summary>
    public DriveAttachment? Attachment => _attachment.Value;

    /// <summary>Where it is mounted.</summary>
    public string Root { get; }

    /// <summary>Who it is.</summary>
    public DriveIdentity Identity { get; }

    /// <summary>Its name.</summary>
    public KitId Drive => Identity.Drive;

    /// <summary>Its root folder, held open so that failed flushes are told.</summary>
    public MediaFile Top { get; }

    /// <summary>Its list of proven copies.</summary>
    public CopyList Copies { get; }

    /// <summary>Its file system as it was when opened.</summary>
    public MediaVolume Volume { get; }

    /// <summary>Number of the device that it is on.</summary>
    public ulong Device { get; }

    /// <summary>How it is mounted; null when the system does not tell.</summary>
    public Mount? Mount { get; }

    /// <summary>Unfinished files of an earlier run that were found and removed.</summary>
    public int Cleaned { get; private set; }

    /// <summary>Takes a drive: locks it, reads or writes its identity, removes unfinished files, reads its list.</summary>
    /// <param name="target">The drive.</param>
    /// <param name="ids">Draws an identity for a drive that has none.</param>
    /// <returns>The drive, or in words why it cannot be used.</returns>
    public static DriveOpening Open(DriveTarget target, Func<ulong> ids)
    {
        string root = Path.GetFullPath(target.Root);
        try
        {
            if (MediaFolder.Look(root) is not { Kind: MediaKind.Folder })
            {
                return new DriveOpening.Refused($"{root} is no folder: is the drive plugged in and mounted?");
            }

            MediaFolder.Make($"{root}/{DriveIdentity.Folder}");
            MediaFile held = MediaFile.OpenOrCreate($"{root}/{LockPath}");
            if (!held.TryLock())
            {
                held.Dispose();
                return new DriveOpening.Refused($"another station is writing to {root}; wait until it is done");
            }

            return Take(target, root, held, ids);
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            return new DriveOpening.Refused(fault.Message);
        }
    }

    /// <summary>The file with a drive's list of proven copies.</summary>
    /// <param name="root">Where the drive is mounted.</param>
    public static string ListOf(string root) => $"{root}/{ListPath}";

    /// <summary>A path on the drive where the system can open it.</summary>
    /// <param name="path">Path on the drive.</param>
    public string Full(string path) => $"{Root}/{path}";

    /// <summary>A name for the next unfinished file.</summary>
    public string NextPartial() => $"{Root}/{PartialFolder}/{(_partials++).ToString("x", CultureInfo.InvariantCulture)}";

    /// <summary>Whether the folder that a path lies in was not there when this was first asked: then nothing of an earlier run lies in it.</summary>
    /// <param name="path">Path on the drive.</param>
    /// <exception cref="MediaFault">The drive refused.</exception>
    /// <remarks>For one thread, the one that reads the card.</remarks>
    public bool IsNewFolderOf(string path)
    {
        string folder = path[..(path.LastIndexOf('/') + 1)];
        if (!_newFolders.TryGetValue(folder, out bool isNew))
        {
            _newFolders[folder] = isNew = folder.Length > 0 && MediaFolder.Look(Full(folder.TrimEnd('/'))) is null;
        }

        return isNew;
    }

    /// <summary>As <see cref="IsNewFolderOf"/>, without asking the drive: false where that was not asked yet.</summary>
    /// <param name="path">Path on the drive.</param>
    public bool IsKnownNewFolderOf(string path) => _newFolders.GetValueOrDefault(path[..(path.LastIndexOf('/') + 1)]);

    /// <summary>Whether a copy of the list is there with its size; else it is struck off the list.</summary>
    /// <param name="copy">The copy.</param>
    /// <exception cref="MediaFault">The drive refused.</exception>
    public bool StillHolds(CopyRecord copy)
    {
        if (MediaFolder.Look(Full(copy.Path)) is { Kind: MediaKind.File } there && there.Size == copy.Size)
        {
            return true;
        }

        Copies.Strike(copy.Path, "not there at an offload");
        return false;
    }

    /// <summary>Makes the folder that a path lies in.</summary>
    /// <param name="path">Path on the drive.</param>
    /// <returns>The folder.</returns>
    /// <exception cref="MediaFault">The drive refused.</exception>
    /// <remarks>
    /// From the root that is held open: a drive that is pulled leaves an empty folder behind, and by its path the folder would be made on
    /// the station's own disk.
    /// </remarks>
    public string MakeFolderOf(string path)
    {
        string folder = Path.GetDirectoryName(path)!;
        if (folder.Length > 0 && _folders.Add(folder))
        {
            MediaFolder.Make(Top, folder);
        }

        return folder.Length > 0 ? Full(folder) : Root;
    }

    /// <summary>Puts a copy that is not good out of the way, so that nobody takes it for footage; its bad sectors stay occupied.</summary>
    /// <param name="path">Path on the drive.</param>
    public void SetAside(string path)
    {
        try
        {
            MediaFolder.Make(Top, BadFolder);
            string name = path.Replace('/', '_');
            for (int i = 0; i < 100; i++)
            {
                if (MediaFolder.TryRename(Full(path), $"{Root}/{BadFolder}/{i.ToString(CultureInfo.InvariantCulture)}-{Tail(name)}"))
                {
                    return;
                }
            }
        }
        catch (MediaFault)
        {
            // A drive that refuses even this is reported by what is tried next; the list never had the copy.
        }
    }

    /// <summary>Whether the drive still answers as the one that was opened.</summary>
    public bool IsThere()
    {
        try
        {
            return MediaFolder.Look($"{Root}/{DriveIdentity.FilePath}") is { Kind: MediaKind.File } file && file.Device == Device;
        }
        catch (MediaFault)
        {
            return false;
        }
    }

    /// <summary>Its file system now, with no more room than is granted.</summary>
    /// <exception cref="MediaFault">The drive refused.</exception>
    public MediaVolume VolumeNow() => GrantedRoom.Of(Top.Volume(), Root, Identity.Room);

    /// <summary>The drive's state now.</summary>
    public DriveState State()
    {
        MediaVolume now;
        try
        {
            now = VolumeNow();
        }
        catch (MediaFault)
        {
            now = Volume with { Free = 0 };
        }

        (DriveHealth health, Celsius? temperature) = _answer.Value is { } json ? DriveHealthProbe.Read(json) : (DriveHealth.Unknown, null);
        return new(Drive, new ByteCount(now.Capacity), new ByteCount(now.Free), health, temperature, Identity.Identity) { MoveCost = MoveCost.Of(Root) };
    }

    /// <summary>The drive's state as far as it is known without asking it.</summary>
    public DriveState StateUnasked() => new(Drive, new ByteCount(Volume.Capacity), new ByteCount(Volume.Free), DriveHealth.Unknown, null, Identity.Identity);

    /// <inheritdoc/>
    public void Dispose()
    {
        Copies.Dispose();
        Top.Dispose();
        _lock.Unlock();
        _lock.Dispose();
    }

    private static DriveOpening Take(DriveTarget target, string root, MediaFile held, Func<ulong> ids)
    {
        MediaFile? top = null;
        try
        {
            DriveIdentity identity = DriveIdentity.Read(root) ?? WriteIdentity(target, root, ids);
            if (target.Drive is { } wanted && wanted != identity.Drive)
            {
                held.Dispose();
                return new DriveOpening.Refused($"the drive at {root} is \"{identity.Drive}\", not \"{wanted}\"");
            }

            top = MediaFile.OpenFolder(root);
            var drive = new OpenDrive(root, identity, held, top, CopyList.Open($"{root}/{ListPath}"));
            drive.Clean();
            return new DriveOpening.Taken(drive);
        }
        catch
        {
            top?.Dispose();
            held.Dispose();
            throw;
        }
    }

    private static DriveIdentity WriteIdentity(DriveTarget target, string root, Func<ulong> ids)
    {
        string name = target.Drive?.Value ?? Path.GetFileName(root).Trim();
        if (!KitId.TryParse(name, out KitId drive))
        {
            drive = KitId.Parse("drive");
        }

        var identity = new DriveIdentity(drive, ids().ToString("x16", CultureInfo.InvariantCulture));
        string fresh = $"{root}/{DriveIdentity.FilePath}.new";
        MediaFolder.RemoveFile(fresh);
        using (MediaFile file = MediaFile.Create(fresh, wantDirect: false))
        {
            file.Write(0, Encoding.UTF8.GetBytes(identity.ToFile()));
            file.Flush();
        }

        // A file that is there but cannot be read as an identity is kept for a person to look at.
        string path = $"{root}/{DriveIdentity.FilePath}";
        if (!MediaFolder.TryRename(fresh, path))
        {
            throw new IOException($"{path} is there but is no identity file. Look at it; move it away if this is a drive for copies.");
        }

        MediaFolder.Flush($"{root}/{DriveIdentity.Folder}");
        return identity;
    }

    private void Clean()
    {
        string folder = $"{Root}/{PartialFolder}";
        MediaFolder.Make(folder);
        foreach (string name in MediaFolder.List(folder))
        {
            MediaFolder.RemoveFile($"{folder}/{name}");
            Cleaned++;
        }
    }

    private static string Tail(string name) => name.Length <= 100 ? name : name[^100..];
}
