using System.Text;

namespace KitMesh.Footage.Manifests;

// The problem: one hash for a whole folder, so that two trees are compared by one value and a renamed file is told from an
// altered one. The traps: the order of children must not matter, so the hash values are sorted, not the names; what is fed
// is the decoded bytes, not their digits; and the text does not say whether the structure hash takes a child's hash as
// bytes or as digits. The method: bytes in both, as Appendix G says them for the content hash; docs/decisions holds the
// choice. A folder's content hash is the digest of the sorted hashes of its files and content hashes of its folders; its
// structure hash the digest of the sorted digests of (name, then hash) of each child, with structure hashes of folders.
// Source: ASC MHL Specification v1.0 (15 March 2022), Appendix G; Implementation Guidelines v1.0, section 2.5 (what each
// hash must and must not notice). Check: MhlDirectoryTests.

/// <summary>Directory hashes from the hashes of files.</summary>
public static class MhlDirectoryTree
{
    // Deeper than any path that a file system takes (4,096 bytes, two for each folder).
    private const int MaxDepth = 2048;

    /// <summary>Hashes every directory.</summary>
    /// <param name="files">Path ('/' between its parts) and hash of each file; the hashes as bytes, all of one format.</param>
    /// <param name="format">That format.</param>
    /// <param name="digest">Its digest of some bytes.</param>
    /// <returns>Every directory, each before what is below it, the root (path empty) first.</returns>
    /// <exception cref="ArgumentException">A path may not stand in a manifest, or stands twice.</exception>
    public static IReadOnlyList<MhlDirectory> Hash(IEnumerable<(string Path, byte[] Hash)> files, string format, Func<byte[], byte[]> digest)
    {
        ArgumentNullException.ThrowIfNull(files);
        ArgumentNullException.ThrowIfNull(digest);
        var root = new Node("");
        foreach ((string path, byte[] hash) in files)
        {
            Put(root, path, hash);
        }

        List<MhlDirectory> directories = [];
        Walk(root, directories, format, digest);
        return [.. directories.OrderBy(directory => directory.Path, StringComparer.Ordinal)];
    }

    private static void Put(Node root, string path, byte[] hash)
    {
        if (!MhlManifest.IsPathAllowed(path) || path.Count('/') > MaxDepth)
        {
            throw new ArgumentException($"\"{path}\" may not stand in a manifest.", nameof(path));
        }

        Node node = root;
        string[] parts = path.Split('/');
        foreach (string part in parts[..^1])
        {
            if (!node.Folders.TryGetValue(part, out Node? next))
            {
                node.Folders[part] = next = new Node(node.Path.Length == 0 ? part : $"{node.Path}/{part}");
            }

            node = next;
        }

        if (!node.Files.TryAdd(parts[^1], hash))
        {
            throw new ArgumentException($"\"{path}\" stands twice.", nameof(path));
        }
    }

    private static (byte[] Content, byte[] Structure) Walk(Node node, List<MhlDirectory> directories, string format, Func<byte[], byte[]> digest)
    {
        List<byte[]> contents = [.. node.Files.Values];
        List<byte[]> structures = [.. node.Files.Select(file => Named(file.Key, file.Value, digest))];
        foreach ((string name, Node folder) in node.Folders)
        {
            (byte[] below, byte[] shape) = Walk(folder, directories, format, digest);
            contents.Add(below);
            structures.Add(Named(name, shape, digest));
        }

        byte[] content = digest(Sorted(contents));
        byte[] structure = digest(Sorted(structures));
        directories.Add(new MhlDirectory(node.Path, format, Convert.ToHexStringLower(content), Convert.ToHexStringLower(structure)));
        return (content, structure);
    }

    private static byte[] Named(string name, byte[] hash, Func<byte[], byte[]> digest) => digest([.. Encoding.UTF8.GetBytes(name), .. hash]);

    private static byte[] Sorted(List<byte[]> hashes)
    {
        hashes.Sort(static (a, b) => a.AsSpan().SequenceCompareTo(b));
        return [.. hashes.SelectMany(hash => hash)];
    }

    private sealed class Node(string path)
    {
        public string Path { get; } = path;

        public Dictionary<string, byte[]> Files { get; } = new(StringComparer.Ordinal);

        public Dictionary<string, Node> Folders { get; } = new(StringComparer.Ordinal);
    }
}
