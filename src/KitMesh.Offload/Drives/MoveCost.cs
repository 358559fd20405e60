using System.Text.Json;
using System.Text.Json.Serialization;
using KitMesh.Domain.Quantities;

namespace KitMesh.Offload.Drives;

// The problem: whoever plans an evening must know what a gigabyte costs, and that differs by station and drive. The traps:
// a station draws power when it does nothing, too; several drives at work share one meter; a figure from three small clips
// says nothing. The method: what was drawn above idle while bytes were moved is shared among the drives by their bytes, and
// joules and bytes are added up on the drive itself, so that the figure goes where the drive goes. An old day fades: the
// sums are halved when they pass a terabyte.

/// <summary>What moving bytes to and from a drive cost, as its own small file on it tells.</summary>
public static class MoveCost
{
    /// <summary>The file, from the drive's root.</summary>
    public const string FilePath = $"{DriveIdentity.Folder}/cost.json";

    /// <summary>Least bytes behind a figure.</summary>
    public const long LeastBytes = 100_000_000;

    private const int Version = 1;
    private const double FadeBytes = 1e12;
    private const double BytesPerGigabyte = 1e9;

    /// <summary>The figure of a drive; null when nobody measured enough.</summary>
    /// <param name="root">The drive's root.</param>
    public static JoulesPerGigabyte? Of(string root) =>
        Read(root) is { } shape && shape.Bytes >= LeastBytes ? new JoulesPerGigabyte(shape.Joules / shape.Bytes * BytesPerGigabyte) : null;

    /// <summary>Adds what was measured.</summary>
    /// <param name="root">The drive's root.</param>
    /// <param name="energy">Energy above idle.</param>
    /// <param name="moved">Bytes written and read.</param>
    /// <returns>False when there was nothing to add, or the drive refused: the figure is worth no fault.</returns>
    public static bool TryAdd(string root, WattHours energy, ByteCount moved)
    {
        if (moved.Value <= 0 || !(energy.Joules >= 0) || !DriveIdentity.Marks(root))
        {
            return false;
        }

        Shape before = Read(root) ?? new Shape(Version, 0, 0);
        var after = new Shape(Version, before.Joules + energy.Joules, before.Bytes + moved.Value);
        if (after.Bytes > FadeBytes)
        {
            after = after with { Joules = after.Joules / 2, Bytes = after.Bytes / 2 };
        }

        try
        {
            string fresh = Path.Combine(root, FilePath + ".new");
            File.WriteAllText(fresh, JsonSerializer.Serialize(after, MoveCostJson.Default.Shape) + "\n");
            File.Move(fresh, Path.Combine(root, FilePath), overwrite: true);
            return true;
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            return false;
        }
    }

    private static Shape? Read(string root)
    {
        try
        {
            string path = Path.Combine(root, FilePath);
            return File.Exists(path) && JsonSerializer.Deserialize(File.ReadAllText(path), MoveCostJson.Default.Shape) is { Version: Version, Bytes: > 0, Joules: >= 0 } shape ? shape : null;
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException or JsonException)
        {
            return null;
        }
    }

    internal sealed record Shape(int Version, double Joules, long Bytes);
}

/// <summary>Serializer of the file.</summary>
[JsonSourceGenerationOptions(PropertyNamingPolicy = JsonKnownNamingPolicy.CamelCase)]
[JsonSerializable(typeof(MoveCost.Shape))]
internal sealed partial class MoveCostJson : JsonSerializerContext;
