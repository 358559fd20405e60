using System.Globalization;
using KitMesh.Domain;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Footage.Manifests;

/// <summary>One generation of an ASC MHL history.</summary>
/// <param name="Created">Start of the operation.</param>
/// <param name="Hostname">The machine.</param>
/// <param name="Tool">The program.</param>
/// <param name="ToolVersion">Its version.</param>
/// <param name="Process">What was done.</param>
/// <param name="Ignored">Patterns of what was left out; from generation to generation they only grow.</param>
/// <param name="Entries">The files.</param>
/// <param name="References">Manifests of histories in folders below.</param>
/// <remarks>
/// Source: American Society of Cinematographers, "ASC Media Hash List (ASC MHL)", Specification v1.0, 15 March 2022 (XML
/// version 2.0), and its Implementation Guidelines v1.0, 29 March 2023. Where the text contradicts itself this follows its
/// Appendix A and its examples: "metadata" and "references" come after "hashes"; hashes of a file stand in alphabetical
/// order of their formats; XXH64 has 16, XXH3-128 and MD5 32, SHA-1 40 hexadecimal digits; file names end with "Z".
/// </remarks>
public sealed record MhlManifest(
    Instant Created,
    string Hostname,
    string Tool,
    string ToolVersion,
    MhlProcess Process,
    ValueList<string> Ignored,
    ValueList<MhlEntry> Entries,
    ValueList<MhlReference> References)
{
    /// <summary>Folder of a history, in the folder that it is about.</summary>
    public const string Folder = "ascmhl";

    /// <summary>The file that names all generations.</summary>
    public const string ChainFile = "ascmhl_chain.xml";

    /// <summary>Formats of hashes, in the order in which they are written.</summary>
    public static readonly ValueList<string> Formats = ["c4", "md5", "sha1", "xxh128", "xxh3", "xxh64"];

    /// <summary>Patterns that every history ignores.</summary>
    public static readonly ValueList<string> StandardIgnored = [".DS_Store", "ascmhl", "ascmhl/"];

    private static readonly InstantPattern NameTime = InstantPattern.CreateWithInvariantCulture("uuuu-MM-dd_HHmmss'Z'");

    /// <summary>Hashes of directories that are known whole; the root of the history has an empty path.</summary>
    public ValueList<MhlDirectory> Directories { get; init; } = [];

    /// <summary>The name of a generation's file.</summary>
    /// <param name="generation">Its number, from 1.</param>
    /// <param name="folder">Name of the folder that the history is about.</param>
    /// <param name="created">Start of the operation.</param>
    public static string FileName(int generation, string folder, Instant created) =>
        string.Create(CultureInfo.InvariantCulture, $"{generation:0000}_{folder}_{NameTime.Format(created)}.mhl");

    /// <summary>Whether a path may stand in a manifest: relative, with '/', leading nowhere outside.</summary>
    /// <param name="path">The path.</param>
    public static bool IsPathAllowed(string path) =>
        path.Length > 0 && path[0] != '/' && !path.Contains('\\', StringComparison.Ordinal) && !path.Split('/').Any(part => part is "" or "." or "..");
}
