using System.Text.Json;
using System.Text.Json.Serialization;
using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Footage.Clips;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Export.Handover;

/// <summary>An inventory as the file inventory.json. The shape is documented in docs/footage-handover.md.</summary>
public static class InventoryJson
{
    /// <summary>Its file.</summary>
    public const string FileName = "inventory.json";

    private static readonly JsonSerializerOptions Options = new(InventoryJsonContext.Default.Options)
    {
        Encoder = System.Text.Encodings.Web.JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
    };

    private static readonly OffsetPattern Zone = OffsetPattern.GeneralInvariantWithZ;

    /// <summary>The file's bytes.</summary>
    /// <param name="inventory">The inventory.</param>
    public static byte[] Write(Inventory inventory) => JsonSerializer.SerializeToUtf8Bytes(
        new Shape(
            inventory.Version,
            inventory.Trip?.Value,
            InstantPattern.ExtendedIso.Format(inventory.AsOf),
            Zone.Format(inventory.ZoneOffset),
            [.. inventory.Drives.Select(drive => new DriveShape(drive.Drive.Value, drive.Case?.Value, drive.Carrier?.Value, drive.GoodCopies, drive.Doubt))],
            [.. inventory.Clips.Select(Clip)]),
        (System.Text.Json.Serialization.Metadata.JsonTypeInfo<Shape>)Options.GetTypeInfo(typeof(Shape)));

    /// <summary>Reads the file.</summary>
    /// <param name="bytes">Its bytes.</param>
    /// <param name="wrong">What is wrong; empty when it was read.</param>
    /// <returns>The inventory; null when it is none.</returns>
    public static Inventory? Read(byte[] bytes, out string wrong)
    {
        wrong = "";
        try
        {
            if (JsonSerializer.Deserialize(bytes, InventoryJsonContext.Default.Shape) is not { } shape)
            {
                wrong = "it is empty";
                return null;
            }

            if (shape.Version != Inventory.CurrentVersion)
            {
                wrong = $"it is of version {shape.Version}; this program reads version {Inventory.CurrentVersion}";
                return null;
            }

            return new Inventory(
                shape.Version,
                MaybeId(shape.Trip),
                InstantPattern.ExtendedIso.Parse(shape.AsOf).Value,
                Zone.Parse(shape.ZoneOffset).Value,
                shape.Drives.Select(drive => new InventoryDrive(KitId.Parse(drive.Drive), MaybeId(drive.Case), MaybeId(drive.Carrier), drive.GoodCopies, drive.Doubt)).ToValueList(),
                shape.Clips.Select(Clip).ToValueList());
        }
        catch (Exception fault) when (fault is JsonException or FormatException or UnparsableValueException or ArgumentException or NullReferenceException)
        {
            wrong = fault.Message;
            return null;
        }
    }

    private static readonly DurationPattern TimecodePattern = DurationPattern.CreateWithInvariantCulture("HH':'mm':'ss");

    private static ClipShape Clip(InventoryClip clip) => new(
        clip.Xxh128.ToString(),
        clip.Path,
        clip.Card.Value,
        clip.Source?.Value,
        clip.Team?.Value,
        LocalDatePattern.Iso.Format(clip.Day),
        clip.Recorded is { } recorded ? InstantPattern.ExtendedIso.Format(recorded) : null,
        clip.Length?.TotalSeconds,
        clip.Size.Value,
        clip.Damage,
        [.. clip.Copies.Select(Copy)],
        clip.MeetsRule,
        clip.Missing,
        clip.Timecode is { } code ? TimecodePattern.Format(code) : null);

    private static CopyShape Copy(InventoryCopy copy) => new(
        copy.Drive.Value,
        copy.Path,
        copy.Case?.Value,
        copy.Standing,
        copy.LastProven is { } proven ? InstantPattern.ExtendedIso.Format(proven) : null,
        copy.Level,
        copy.Reason);

    private static InventoryClip Clip(ClipShape shape) => new(
        ClipHash.TryParse(shape.Xxh128, out ClipHash hash) ? hash : throw new FormatException($"\"{shape.Xxh128}\" is no clip"),
        shape.Path,
        KitId.Parse(shape.Card),
        MaybeId(shape.Source),
        MaybeId(shape.Team),
        LocalDatePattern.Iso.Parse(shape.Day).Value,
        MaybeTime(shape.Recorded),
        shape.LengthSeconds is { } seconds ? Duration.FromSeconds(seconds) : null,
        new ByteCount(shape.SizeBytes),
        shape.Damage,
        shape.Copies.Select(copy => new InventoryCopy(
            KitId.Parse(copy.Drive), copy.Path, MaybeId(copy.Case), copy.Standing, MaybeTime(copy.LastProven), copy.Level, copy.Reason)).ToValueList(),
        shape.MeetsRule,
        shape.Missing)
    {
        Timecode = ClipTimes.ParseTimecode(shape.Timecode),
    };

    private static KitId? MaybeId(string? text) => text is null ? null : KitId.Parse(text);

    private static Instant? MaybeTime(string? text) => text is null ? null : InstantPattern.ExtendedIso.Parse(text).Value;

    internal sealed record Shape(int Version, string? Trip, string AsOf, string ZoneOffset, DriveShape[] Drives, ClipShape[] Clips);

    internal sealed record DriveShape(string Drive, string? Case, string? Carrier, int GoodCopies, string? Doubt);

    internal sealed record ClipShape(
        string Xxh128,
        string Path,
        string Card,
        string? Source,
        string? Team,
        string Day,
        string? Recorded,
        double? LengthSeconds,
        long SizeBytes,
        string? Damage,
        CopyShape[] Copies,
        bool MeetsRule,
        string? Missing,
        string? Timecode = null);

    internal sealed record CopyShape(string Drive, string Path, string? Case, CopyStanding Standing, string? LastProven, ReadBackLevel? Level, string? Reason);
}

/// <summary>Serializer of the inventory.</summary>
[JsonSourceGenerationOptions(
    PropertyNamingPolicy = JsonKnownNamingPolicy.CamelCase,
    UseStringEnumConverter = true,
    WriteIndented = true,
    DefaultIgnoreCondition = JsonIgnoreCondition.WhenWritingNull)]
[JsonSerializable(typeof(InventoryJson.Shape))]
internal sealed partial class InventoryJsonContext : JsonSerializerContext;
