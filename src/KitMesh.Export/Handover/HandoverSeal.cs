using System.Security.Cryptography;
using System.Text;

namespace KitMesh.Export.Handover;

/// <summary>SHA-256 over every file of a handover, in the form that <c>sha256sum -c</c> reads.</summary>
/// <remarks>It shows what was altered or cut off on the way. It does not show who wrote it: send its own hash another way for that.</remarks>
public static class HandoverSeal
{
    /// <summary>Its file.</summary>
    public const string FileName = "sha256.txt";

    /// <summary>The file's bytes.</summary>
    /// <param name="files">The files it is over.</param>
    public static byte[] Write(IEnumerable<HandoverFile> files)
    {
        var text = new StringBuilder();
        foreach (HandoverFile file in files.OrderBy(file => file.Path, StringComparer.Ordinal))
        {
            text.Append(Convert.ToHexStringLower(SHA256.HashData(file.Bytes))).Append("  ").Append(file.Path).Append('\n');
        }

        return Encoding.UTF8.GetBytes(text.ToString());
    }

    /// <summary>What is wrong with a handover's files.</summary>
    /// <param name="seal">The seal's bytes.</param>
    /// <param name="read">Reads a file by its path; null when it is not there.</param>
    /// <returns>One line a fault; empty when all is as it was written.</returns>
    public static IReadOnlyList<string> Faults(byte[] seal, Func<string, byte[]?> read)
    {
        List<string> faults = [];
        foreach (string line in Encoding.UTF8.GetString(seal).Split('\n').Where(line => line.Length > 0))
        {
            string[] parts = line.Split("  ", 2);
            if (parts.Length != 2 || !Footage.Manifests.MhlManifest.IsPathAllowed(parts[1]))
            {
                faults.Add($"a line of {FileName} is no hash and path: {line}");
            }
            else if (read(parts[1]) is not { } bytes)
            {
                faults.Add($"{parts[1]} is missing");
            }
            else if (!string.Equals(Convert.ToHexStringLower(SHA256.HashData(bytes)), parts[0], StringComparison.OrdinalIgnoreCase))
            {
                faults.Add($"{parts[1]} was altered after it was written");
            }
        }

        return faults;
    }
}
