using System.Security.Cryptography;
using System.Text.Json;

namespace KitMesh.Export.Tables;

// Problem: an export that was interrupted, or of which a file was lost or damaged on the way, reads like a smaller trip: engines take whatever files there are.
// Method: the last thing written is a list of every part file with its rows, size and hash; without the list an export is not whole. Check: TableExportTests.

/// <summary>The list of an export's files, which makes it whole.</summary>
/// <param name="Schema">Schema of the tables.</param>
/// <param name="Readings">Rows of readings.</param>
/// <param name="Reports">Rows of reports.</param>
/// <param name="RollUps">Rows of roll-ups.</param>
/// <param name="Files">Every part file.</param>
public sealed record ExportList(int Schema, long Readings, long Reports, long RollUps, IReadOnlyList<TableFile> Files)
{
    /// <summary>Name of the list, at the root of an export.</summary>
    public const string Name = "export.json";

    /// <summary>What is wrong with an export, in words; empty when it is whole.</summary>
    /// <param name="folder">Its folder.</param>
    public static IReadOnlyList<string> Check(string folder)
    {
        if (Read(Path.Combine(folder, Name)) is not { } list)
        {
            return [$"{Name} is missing or spoilt: the export was interrupted, or this is none. Its tables may lack rows; export once more into an empty folder."];
        }

        var wrong = new List<string>();
        foreach (TableFile file in list.Files)
        {
            var there = new FileInfo(Path.Combine([folder, .. file.Path.Split('/')]));
            if (!there.Exists)
            {
                wrong.Add($"{file.Path} is missing: {file.Rows} rows.");
            }
            else if (there.Length != file.Bytes || HashOf(there.FullName) != file.Sha256)
            {
                wrong.Add($"{file.Path} is damaged: {there.Length} bytes, and {file.Bytes} with another content were written; {file.Rows} rows.");
            }
        }

        HashSet<string> known = [.. list.Files.Select(file => file.Path)];
        wrong.AddRange(Tables(folder).Where(path => !known.Contains(path)).Select(path => $"{path} is not of this export: engines would count its rows as well."));
        return wrong;
    }

    internal static string HashOf(string path)
    {
        using FileStream stream = File.OpenRead(path);
        return Convert.ToHexStringLower(SHA256.HashData(stream));
    }

    internal void Write(string folder) => File.WriteAllText(Path.Combine(folder, Name), JsonSerializer.Serialize(this, JsonSerializerOptions.Web));

    private static IEnumerable<string> Tables(string folder) => Directory
        .EnumerateFiles(folder, "*", SearchOption.AllDirectories)
        .Select(file => Path.GetRelativePath(folder, file).Replace('\\', '/'))
        .Where(path => path != Name && (path.EndsWith(".parquet", StringComparison.Ordinal) || path.EndsWith(".csv", StringComparison.Ordinal)));

    private static ExportList? Read(string path)
    {
        try
        {
            return JsonSerializer.Deserialize<ExportList>(File.ReadAllText(path), JsonSerializerOptions.Web) is { Files: not null } list ? list : null;
        }
        catch (Exception odd) when (odd is IOException or JsonException)
        {
            return null;
        }
    }
}
