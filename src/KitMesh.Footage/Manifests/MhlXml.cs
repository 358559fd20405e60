using System.Globalization;
using System.Text;
using System.Xml;
using System.Xml.Linq;
using KitMesh.Domain;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Footage.Manifests;

/// <summary>ASC MHL manifests and chain files as XML.</summary>
public static class MhlXml
{
    /// <summary>Largest manifest that is read.</summary>
    public const int MaxBytes = 256 << 20;

    private static readonly XNamespace List = "urn:ASC:MHL:v2.0";
    private static readonly XNamespace Directory = "urn:ASC:MHL:DIRECTORY:v2.0";

    private static readonly (MhlProcess Process, string Word)[] Processes =
        [(MhlProcess.InPlace, "in-place"), (MhlProcess.Transfer, "transfer"), (MhlProcess.Flatten, "flatten")];

    private static readonly (MhlAction Action, string Word)[] Actions =
        [(MhlAction.Original, "original"), (MhlAction.Verified, "verified"), (MhlAction.Failed, "failed")];

    /// <summary>A manifest as the bytes of its file.</summary>
    /// <param name="manifest">The manifest; needs an entry or a reference.</param>
    /// <exception cref="ArgumentException">It has neither, or a path that may not stand in a manifest.</exception>
    public static byte[] Write(MhlManifest manifest)
    {
        if (manifest.Entries.Count + manifest.References.Count == 0)
        {
            throw new ArgumentException("A manifest names at least one file or one other manifest.", nameof(manifest));
        }

        IEnumerable<string> paths = manifest.Entries.Select(entry => entry.Path).Concat(manifest.Directories.Select(directory => directory.Path).Where(path => path.Length > 0));
        if (paths.FirstOrDefault(path => !MhlManifest.IsPathAllowed(path)) is { } wrong)
        {
            throw new ArgumentException($"\"{wrong}\" may not stand in a manifest.", nameof(manifest));
        }

        var root = new XElement(
            List + "hashlist",
            new XAttribute("version", "2.0"),
            new XElement(
                List + "creatorinfo",
                new XElement(List + "creationdate", Time(manifest.Created)),
                new XElement(List + "hostname", manifest.Hostname),
                new XElement(List + "tool", new XAttribute("version", manifest.ToolVersion), manifest.Tool)),
            new XElement(
                List + "processinfo",
                new XElement(List + "process", Processes.First(pair => pair.Process == manifest.Process).Word),
                MhlDirectoryXml.Root(List, manifest.Directories),
                manifest.Ignored.Count == 0 ? null : new XElement(List + "ignore", manifest.Ignored.Select(pattern => new XElement(List + "pattern", pattern)))),
            manifest.Entries.Count == 0 ? null : new XElement(List + "hashes", manifest.Entries.Select(Entry), MhlDirectoryXml.Below(List, manifest.Directories)),
            manifest.References.Count == 0 ? null : new XElement(List + "references", manifest.References.Select(reference =>
                new XElement(List + "hashlistreference", new XElement(List + "path", reference.Path), new XElement(List + "c4", reference.C4)))));
        return Bytes(root);
    }

    /// <summary>A chain file as bytes.</summary>
    /// <param name="generations">Every generation, oldest first.</param>
    public static byte[] WriteChain(IReadOnlyList<MhlReference> generations) => Bytes(new XElement(
        Directory + "ascmhldirectory",
        generations.Select((generation, i) => new XElement(
            Directory + "hashlist",
            new XAttribute("sequencenr", i + 1),
            new XElement(Directory + "path", generation.Path),
            new XElement(Directory + "c4", generation.C4)))));

    /// <summary>Reads a manifest.</summary>
    /// <param name="bytes">The file.</param>
    /// <param name="wrong">What is wrong with it; empty when it was read.</param>
    /// <returns>The manifest; null when it is none.</returns>
    public static MhlManifest? Read(byte[] bytes, out string wrong)
    {
        if (Root(bytes, List + "hashlist", out wrong) is not { } root)
        {
            return null;
        }

        if ((string?)root.Attribute("version") != "2.0")
        {
            wrong = $"version {(string?)root.Attribute("version")} is not known, only 2.0";
            return null;
        }

        XElement? creator = root.Element(List + "creatorinfo");
        XElement? process = root.Element(List + "processinfo");
        string word = (string?)process?.Element(List + "process") ?? "";
        List<MhlEntry> entries = [];
        foreach (XElement hash in root.Element(List + "hashes")?.Elements(List + "hash") ?? [])
        {
            if (ReadEntry(hash, out wrong) is not { } entry)
            {
                return null;
            }

            entries.Add(entry);
        }

        if (entries.GroupBy(entry => entry.Path, StringComparer.Ordinal).FirstOrDefault(group => group.Count() > 1) is { } twice)
        {
            wrong = $"{twice.Key} stands in it twice";
            return null;
        }

        return new MhlManifest(
            ReadTime((string?)creator?.Element(List + "creationdate")) ?? NodaConstants.UnixEpoch,
            (string?)creator?.Element(List + "hostname") ?? "",
            (string?)creator?.Element(List + "tool") ?? "",
            (string?)creator?.Element(List + "tool")?.Attribute("version") ?? "",
            Processes.FirstOrDefault(pair => pair.Word == word).Process,
            (process?.Element(List + "ignore")?.Elements(List + "pattern") ?? []).Select(pattern => pattern.Value).ToValueList(),
            entries.ToValueList(),
            (root.Element(List + "references")?.Elements(List + "hashlistreference") ?? [])
                .Select(reference => new MhlReference((string?)reference.Element(List + "path") ?? "", (string?)reference.Element(List + "c4") ?? ""))
                .ToValueList())
        {
            Directories = MhlDirectoryXml.Read(List, process, root.Element(List + "hashes")),
        };
    }

    /// <summary>Reads a chain file.</summary>
    /// <param name="bytes">The file.</param>
    /// <param name="wrong">What is wrong with it; empty when it was read.</param>
    /// <returns>The generations, oldest first; null when it is no sound chain.</returns>
    public static IReadOnlyList<MhlReference>? ReadChain(byte[] bytes, out string wrong)
    {
        if (Root(bytes, Directory + "ascmhldirectory", out wrong) is not { } root)
        {
            return null;
        }

        List<MhlReference> generations = [];
        foreach (XElement element in root.Elements(Directory + "hashlist").OrderBy(element => (int?)element.Attribute("sequencenr") ?? 0))
        {
            if ((int?)element.Attribute("sequencenr") != generations.Count + 1)
            {
                wrong = string.Create(CultureInfo.InvariantCulture, $"generation {generations.Count + 1} is missing or stands twice");
                return null;
            }

            string path = (string?)element.Element(Directory + "path") ?? "";
            if (!MhlManifest.IsPathAllowed(path))
            {
                wrong = $"\"{path}\" may not stand in a chain";
                return null;
            }

            generations.Add(new MhlReference(path, (string?)element.Element(Directory + "c4") ?? ""));
        }

        return generations;
    }

    private static XElement Entry(MhlEntry entry) => new(
        List + "hash",
        new XElement(
            List + "path",
            entry.Size is { } size ? new XAttribute("size", size) : null,
            entry.Modified is { } modified ? new XAttribute("lastmodificationdate", Time(modified)) : null,
            entry.Path),
        entry.Hashes
            .Where(hash => MhlManifest.Formats.Contains(hash.Format))
            .OrderBy(hash => hash.Format, StringComparer.Ordinal)
            .Select(hash => new XElement(
                List + hash.Format,
                hash.Action is { } action ? new XAttribute("action", Actions.First(pair => pair.Action == action).Word) : null,
                hash.HashDate is { } date ? new XAttribute("hashdate", Time(date)) : null,
                hash.Value)),
        entry.PreviousPath is { } previous ? new XElement(List + "previousPath", previous) : null);

    private static MhlEntry? ReadEntry(XElement hash, out string wrong)
    {
        wrong = "";
        XElement? path = hash.Element(List + "path");
        if (path is null || !MhlManifest.IsPathAllowed(path.Value))
        {
            wrong = $"the path \"{path?.Value}\" leads out of the folder or is none";
            return null;
        }

        List<MhlHash> hashes = [];
        foreach (XElement element in hash.Elements().Where(element => element.Name.Namespace == List && MhlManifest.Formats.Contains(element.Name.LocalName)))
        {
            string action = (string?)element.Attribute("action") ?? "";
            hashes.Add(new MhlHash(
                element.Name.LocalName,
                element.Value.Trim(),
                Actions.Any(pair => pair.Word == action) ? Actions.First(pair => pair.Word == action).Action : null,
                ReadTime((string?)element.Attribute("hashdate"))));
        }

        return new MhlEntry(
            path.Value,
            long.TryParse((string?)path.Attribute("size"), NumberStyles.None, CultureInfo.InvariantCulture, out long size) ? size : null,
            ReadTime((string?)path.Attribute("lastmodificationdate")),
            hashes.ToValueList(),
            (string?)hash.Element(List + "previousPath"));
    }

    private static XElement? Root(byte[] bytes, XName name, out string wrong)
    {
        wrong = "";
        if (bytes.Length > MaxBytes)
        {
            wrong = "it is larger than any manifest";
            return null;
        }

        try
        {
            // A manifest comes from a stranger's card: no DTD, nothing fetched.
            using var reader = XmlReader.Create(new MemoryStream(bytes), new XmlReaderSettings { DtdProcessing = DtdProcessing.Prohibit, XmlResolver = null });
            XElement root = XElement.Load(reader);
            if (root.Name == name)
            {
                return root;
            }

            wrong = $"its root is {root.Name}, not {name}";
        }
        catch (XmlException fault)
        {
            wrong = fault.Message;
        }

        return null;
    }

    private static byte[] Bytes(XElement root)
    {
        using var stream = new MemoryStream();
        using (var writer = XmlWriter.Create(stream, new XmlWriterSettings { Encoding = new UTF8Encoding(false), Indent = true, NewLineChars = "\n", CheckCharacters = true }))
        {
            new XDocument(new XDeclaration("1.0", "UTF-8", null), root).Save(writer);
        }

        stream.WriteByte((byte)'\n');
        return stream.ToArray();
    }

    private static string Time(Instant time) => InstantPattern.General.Format(time);

    private static Instant? ReadTime(string? text) =>
        text is not null && OffsetDateTimePattern.ExtendedIso.Parse(text) is { Success: true } time ? time.Value.ToInstant() : null;
}
