using System.Globalization;

namespace KitMesh.Devices.Sysfs;

/// <summary>What one attribute file of the kernel says.</summary>
internal abstract record SysfsFile
{
    private const int MaxLength = 4096;
    private const int NoDataAvailable = 61;

    private SysfsFile()
    {
    }

    /// <summary>Its text, without the line end.</summary>
    public sealed record Text(string Value) : SysfsFile;

    /// <summary>The file is not there: the driver does not have this value.</summary>
    public sealed record Absent : SysfsFile;

    /// <summary>The driver has no value now (ENODATA): a switched-off sensor.</summary>
    public sealed record NoData : SysfsFile;

    /// <summary>The file is there and cannot be read.</summary>
    public sealed record Broken(string Why) : SysfsFile;

    /// <summary>Reads an attribute.</summary>
    public static SysfsFile Read(string folder, string name)
    {
        try
        {
            using var stream = new FileStream(Path.Combine(folder, name), FileMode.Open, FileAccess.Read, FileShare.ReadWrite, bufferSize: 0);
            Span<byte> buffer = stackalloc byte[MaxLength];
            int length = stream.ReadAtLeast(buffer, MaxLength, throwOnEndOfStream: false);
            return new Text(System.Text.Encoding.UTF8.GetString(buffer[..length]).TrimEnd('\n', '\r', '\0', ' '));
        }
        catch (Exception e) when (e is FileNotFoundException or DirectoryNotFoundException)
        {
            return new Absent();
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return (e.HResult & 0xFFFF) == NoDataAvailable ? new NoData() : new Broken(e.Message);
        }
    }

    /// <summary>Reads an attribute that holds one number.</summary>
    /// <param name="folder">The device's folder.</param>
    /// <param name="name">The attribute.</param>
    /// <param name="complaint">What is wrong, when it is there and no number; null when absent or good.</param>
    public static double? Number(string folder, string name, out string? complaint)
    {
        complaint = null;
        switch (Read(folder, name))
        {
            case Text text when double.TryParse(text.Value, NumberStyles.Float, CultureInfo.InvariantCulture, out double number) && double.IsFinite(number):
                return number;
            case Text text:
                complaint = $"{name} holds \"{text.Value}\", which is no number.";
                return null;
            case NoData:
                complaint = $"{name} has no value now.";
                return null;
            case Broken broken:
                complaint = $"{name} cannot be read: {broken.Why}";
                return null;
            default:
                return null;
        }
    }
}
