using System.Xml.Linq;
using KitMesh.Domain;

namespace KitMesh.Footage.Manifests;

/// <summary>Directory hashes in the XML of an ASC MHL manifest: <c>roothash</c> and <c>directoryhash</c>.</summary>
internal static class MhlDirectoryXml
{
    private const string RootName = "roothash";
    private const string BelowName = "directoryhash";

    /// <summary>The root's element; null when its hash is not known.</summary>
    /// <param name="space">Namespace of the manifest.</param>
    /// <param name="directories">Every directory.</param>
    public static XElement? Root(XNamespace space, ValueList<MhlDirectory> directories)
    {
        List<MhlDirectory> root = [.. directories.Where(directory => directory.Path.Length == 0)];
        return root.Count == 0 ? null : new XElement(space + RootName, Hashes(space, root));
    }

    /// <summary>The elements of the directories below the root.</summary>
    /// <param name="space">Namespace of the manifest.</param>
    /// <param name="directories">Every directory.</param>
    public static IEnumerable<XElement> Below(XNamespace space, ValueList<MhlDirectory> directories) => directories
        .Where(directory => directory.Path.Length > 0)
        .GroupBy(directory => directory.Path, StringComparer.Ordinal)
        .Select(directory => new XElement(space + BelowName, new XElement(space + "path", directory.Key), Hashes(space, [.. directory])));

    /// <summary>Reads them; what may not stand in a manifest or lacks one of its two hashes is left out.</summary>
    /// <param name="space">Namespace of the manifest.</param>
    /// <param name="process">Its <c>processinfo</c>.</param>
    /// <param name="hashes">Its <c>hashes</c>.</param>
    public static ValueList<MhlDirectory> Read(XNamespace space, XElement? process, XElement? hashes)
    {
        IEnumerable<(string Path, XElement Element)> root = (process?.Elements(space + RootName) ?? []).Select(element => ("", element));

        // An example in the text ends a directory's path with '/', its rules do not.
        IEnumerable<(string Path, XElement Element)> below = (hashes?.Elements(space + BelowName) ?? [])
            .Select(element => (((string?)element.Element(space + "path") ?? "").TrimEnd('/'), element))
            .Where(pair => MhlManifest.IsPathAllowed(pair.Item1));
        return root.Concat(below).SelectMany(pair => One(space, pair.Path, pair.Element)).ToValueList();
    }

    private static IEnumerable<MhlDirectory> One(XNamespace space, string path, XElement element) =>
        from format in MhlManifest.Formats
        let content = (string?)element.Element(space + "content")?.Element(space + format)
        let structure = (string?)element.Element(space + "structure")?.Element(space + format)
        where content is not null && structure is not null
        select new MhlDirectory(path, format, content.Trim(), structure.Trim());

    private static XElement[] Hashes(XNamespace space, List<MhlDirectory> formats)
    {
        MhlDirectory[] sorted = [.. formats.OrderBy(directory => directory.Format, StringComparer.Ordinal)];
        return
        [
            new XElement(space + "content", sorted.Select(directory => new XElement(space + directory.Format, directory.Content))),
            new XElement(space + "structure", sorted.Select(directory => new XElement(space + directory.Format, directory.Structure))),
        ];
    }
}
