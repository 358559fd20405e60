using System.Globalization;
using System.Text.Json;
using System.Text.Json.Serialization;
using KitMesh.Domain.Reports;

namespace KitMesh.Offload.Drives;

/// <summary>Who a drive is: written once to a small file on it, so that a swapped or reformatted drive is told from the old one.</summary>
/// <param name="Drive">Its name.</param>
/// <param name="Identity">A random number drawn when the file was written, as 16 hexadecimal digits.</param>
public sealed record DriveIdentity(KitId Drive, string Identity)
{
    /// <summary>Bytes that may lie on it, everything counted, where somebody grants KitMesh a part only; null for all of it.</summary>
    public long? Room { get; init; }

    /// <summary>The folder on a drive that holds what KitMesh needs there.</summary>
    public const string Folder = ".kitmesh";

    /// <summary>The identity file, from the drive's root.</summary>
    public const string FilePath = $"{Folder}/drive.json";

    private const int Version = 1;

    /// <summary>Whether a folder holds a drive's identity file: then it is a drive, and never a card.</summary>
    /// <param name="root">The folder.</param>
    public static bool Marks(string root) => File.Exists(Path.Combine(root, FilePath));

    /// <summary>Reads the identity file of a drive.</summary>
    /// <param name="root">The drive's root.</param>
    /// <returns>The identity; null when there is no file or it is no identity file.</returns>
    /// <exception cref="IOException">The drive cannot be read.</exception>
    public static DriveIdentity? Read(string root)
    {
        string path = Path.Combine(root, FilePath);
        if (!File.Exists(path))
        {
            return null;
        }

        try
        {
            return JsonSerializer.Deserialize(File.ReadAllText(path), DriveIdentityJson.Default.Shape) is { Version: Version } shape
                && KitId.TryParse(shape.Drive, out KitId drive)
                && ulong.TryParse(shape.Identity, NumberStyles.AllowHexSpecifier, CultureInfo.InvariantCulture, out _)
                    ? new DriveIdentity(drive, shape.Identity) { Room = shape.Room is > 0 ? shape.Room : null }
                    : null;
        }
        catch (JsonException)
        {
            return null;
        }
    }

    /// <summary>The text of the identity file.</summary>
    public string ToFile() => JsonSerializer.Serialize(new Shape(Version, Drive.Value, Identity, Room), DriveIdentityJson.Default.Shape) + "\n";

    internal sealed record Shape(int Version, string Drive, string Identity, long? Room = null);
}

/// <summary>Serializer of the identity file.</summary>
[JsonSourceGenerationOptions(PropertyNamingPolicy = JsonKnownNamingPolicy.CamelCase, DefaultIgnoreCondition = JsonIgnoreCondition.WhenWritingNull)]
[JsonSerializable(typeof(DriveIdentity.Shape))]
internal sealed partial class DriveIdentityJson : JsonSerializerContext;
