using System.Globalization;
using System.IO.Hashing;
using System.Text;
using System.Text.Json;
using System.Text.Json.Serialization;
using KitMesh.Domain;
using KitMesh.Domain.Reports;
using KitMesh.Footage.Clips;
using KitMesh.Offload.Hashing;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Offload.Drives;

// The problem: the list of copies on a drive is what a later run believes, and it is appended to while drives are pulled
// and power fails. The trap: half a line, or a line whose bytes rotted, may still read as JSON. The method: each line is
// XXH64 of the rest (16 hexadecimal digits), a blank, JSON, a line feed; a line that does not match its hash is no line.

/// <summary>One line of the list of copies on a drive.</summary>
internal static class CopyLine
{
    private const int HashLength = 16;

    /// <summary>Writes a record as a line, line feed included.</summary>
    /// <param name="record">The record.</param>
    public static byte[] Write(CopyRecord record) => Seal(JsonSerializer.Serialize(
        new Shape(
            record.Path,
            record.Size,
            record.Clip.ToString(),
            record.Card,
            record.CardPath,
            (record.Modified - NodaConstants.UnixEpoch).ToInt64Nanoseconds(),
            record.Print.ToString(),
            record.Level,
            InstantPattern.ExtendedIso.Format(record.Verified),
            record.Hashes.Count == 0 ? null : record.Hashes.ToDictionary(h => HashNames.Of(h.Kind), h => h.Text),
            Gone: null,
            record.Times is { } times ? new ShapeOfTimes(times.IsSound, InstantPattern.ExtendedIso.Format(times.Start), times.Length.TotalSeconds, times.Timecode?.TotalSeconds) : null,
            record.WrittenIn is { } written ? new ShapeOfAttachment(written.Boot, written.Number, written.PowerCycles) : null),
        CopyLineJson.Default.Shape));

    /// <summary>Writes a line that says: the copy at this path counts no more.</summary>
    /// <param name="path">Path on the drive.</param>
    /// <param name="reason">Why.</param>
    public static byte[] WriteGone(string path, string reason) => Seal(JsonSerializer.Serialize(
        new Shape(path, 0, "", "", "", 0, "", ReadBackLevel.Cached, "", null, reason, null),
        CopyLineJson.Default.Shape));

    /// <summary>Reads a line.</summary>
    /// <param name="line">The line, without its line feed.</param>
    /// <param name="path">The path that it is about.</param>
    /// <param name="record">What it says of the copy there; null when it says that the copy counts no more.</param>
    /// <returns>False when it is no sound line.</returns>
    public static bool TryRead(ReadOnlySpan<byte> line, out string path, out CopyRecord? record)
    {
        path = "";
        record = null;
        if (line.Length < HashLength + 2 || line[HashLength] != ' ')
        {
            return false;
        }

        ReadOnlySpan<byte> json = line[(HashLength + 1)..];
        Span<byte> digits = stackalloc byte[HashLength];
        WriteHash(json, digits);
        if (!line[..HashLength].SequenceEqual(digits))
        {
            return false;
        }

        try
        {
            return JsonSerializer.Deserialize(json, CopyLineJson.Default.Shape) is { } shape && TryTake(shape, out path, out record);
        }
        catch (JsonException)
        {
            return false;
        }
    }

    private static bool TryTake(Shape shape, out string path, out CopyRecord? record)
    {
        path = shape.Path;
        record = null;
        if (shape.Gone is not null)
        {
            return true;
        }

        if (!ClipHash.TryParse(shape.Xxh128, out ClipHash clip)
            || !ClipHash.TryParse(shape.Print, out ClipHash print)
            || InstantPattern.ExtendedIso.Parse(shape.Verified) is not { Success: true } verified)
        {
            return false;
        }

        List<HashText> hashes = [];
        foreach ((string name, string text) in shape.Hashes ?? [])
        {
            if (HashNames.TryParse(name, out HashKind kind))
            {
                hashes.Add(new(kind, text));
            }
        }

        record = new CopyRecord(
            shape.Path,
            shape.Size,
            clip,
            shape.Card,
            shape.CardPath,
            NodaConstants.UnixEpoch + Duration.FromNanoseconds(shape.Modified),
            print,
            shape.Level,
            verified.Value,
            hashes.ToValueList())
        {
            Times = TimesOf(shape),
            WrittenIn = shape.WrittenIn is { Boot: not null } written ? new DriveAttachment(written.Boot, written.Number, written.PowerCycles) : null,
        };
        return true;
    }

    private static ClipTimes? TimesOf(Shape shape) =>
        shape.Times is { Seconds: > 0 and < 1e6 } times && InstantPattern.ExtendedIso.Parse(times.Start) is { Success: true } start
            ? new ClipTimes(shape.CardPath, shape.Card, times.Sound, start.Value, Duration.FromSeconds(times.Seconds), times.Timecode is { } code ? Duration.FromSeconds(code) : null)
            : null;

    private static byte[] Seal(string json)
    {
        byte[] line = new byte[HashLength + 1 + Encoding.UTF8.GetByteCount(json) + 1];
        Encoding.UTF8.GetBytes(json, line.AsSpan(HashLength + 1));
        WriteHash(line.AsSpan(HashLength + 1)[..^1], line);
        line[HashLength] = (byte)' ';
        line[^1] = (byte)'\n';
        return line;
    }

    private static void WriteHash(ReadOnlySpan<byte> json, Span<byte> into) =>
        XxHash64.HashToUInt64(json).TryFormat(into, out _, "x16", CultureInfo.InvariantCulture);

    internal sealed record Shape(
        string Path,
        long Size,
        string Xxh128,
        string Card,
        string CardPath,
        long Modified,
        string Print,
        ReadBackLevel Level,
        string Verified,
        Dictionary<string, string>? Hashes,
        string? Gone,
        ShapeOfTimes? Times = null,
        ShapeOfAttachment? WrittenIn = null);

    internal sealed record ShapeOfAttachment(string Boot, long Number, long? PowerCycles);

    internal sealed record ShapeOfTimes(bool Sound, string Start, double Seconds, double? Timecode);
}

/// <summary>Serializer of the list of copies.</summary>
[JsonSourceGenerationOptions(PropertyNamingPolicy = JsonKnownNamingPolicy.CamelCase, UseStringEnumConverter = true, DefaultIgnoreCondition = JsonIgnoreCondition.WhenWritingNull)]
[JsonSerializable(typeof(CopyLine.Shape))]
internal sealed partial class CopyLineJson : JsonSerializerContext;
