using System.IO.Hashing;
using KitMesh.Disk.Media;
using KitMesh.Footage.Manifests;

namespace KitMesh.Offload.Drives;

// The problem: the directory hashes of a manifest speak of every file below a directory, while a run proves only some of
// them and strangers may put their own files on a drive. The trap: a hash over the proven files alone would tell the next
// program that the directory was altered. The method: hash what the drive's list proves, then walk the drive, and tell
// only directories in which every file is in that list.

/// <summary>Directory hashes of a drive, of the directories that are proven whole.</summary>
internal static class DriveDirectories
{
    /// <summary>Hashes them (XXH3-128).</summary>
    /// <param name="drive">The drive.</param>
    /// <param name="touched">Paths of files; only directories above these are told.</param>
    /// <exception cref="MediaFault">The drive cannot be read.</exception>
    public static IReadOnlyList<MhlDirectory> Of(OpenDrive drive, IEnumerable<string> touched)
    {
        IReadOnlyList<CopyRecord> copies = drive.Copies.Copies;
        HashSet<string> proven = [.. copies.Select(copy => copy.Path)];
        HashSet<string> whole = new(StringComparer.Ordinal);
        Walk(drive.Root, "", proven, whole);
        HashSet<string> wanted = new(touched.SelectMany(Above), StringComparer.Ordinal);
        return [.. MhlDirectoryTree
            .Hash(copies.Select(copy => (copy.Path, Convert.FromHexString(copy.Clip.ToString()))), "xxh128", XxHash128.Hash)
            .Where(directory => whole.Contains(directory.Path) && wanted.Contains(directory.Path))];
    }

    private static int Walk(string root, string path, HashSet<string> proven, HashSet<string> whole)
    {
        int found = 0;
        bool strangers = false;
        foreach (string name in MediaFolder.List(path.Length == 0 ? root : $"{root}/{path}"))
        {
            string below = path.Length == 0 ? name : $"{path}/{name}";
            if (IsIgnored(path, name))
            {
                continue;
            }

            if (MediaFolder.Look($"{root}/{below}")?.Kind == MediaKind.Folder)
            {
                int files = Walk(root, below, proven, whole);
                strangers |= !whole.Contains(below);
                found += files;
            }
            else
            {
                strangers |= !proven.Contains(below);
                found++;
            }
        }

        // An empty directory is in no tree of files, so what holds one cannot be told either.
        if (!strangers && found > 0)
        {
            whole.Add(path);
        }

        return found;
    }

    // What the manifest's own list of patterns leaves out: these names anywhere, and KitMesh's own folder at the root.
    private static bool IsIgnored(string path, string name) =>
        name is ".DS_Store" or MhlManifest.Folder || (path.Length == 0 && name == DriveIdentity.Folder);

    private static IEnumerable<string> Above(string path)
    {
        for (int slash = path.LastIndexOf('/'); slash > 0; slash = path.LastIndexOf('/', slash - 1))
        {
            yield return path[..slash];
        }

        yield return "";
    }
}
