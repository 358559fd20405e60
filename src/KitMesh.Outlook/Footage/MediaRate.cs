using KitMesh.Domain.Quantities;
using NodaTime;

namespace KitMesh.Outlook.Footage;

/// <summary>The data rate of a camera or recorder, in bits a second.</summary>
/// <param name="BitsPerSecond">Bits a second.</param>
/// <remarks>
/// Decimal units throughout: 1 Mb = 10^6 bits, 1 GB = 10^9 bytes, as drives and cards are labelled; binary units carry
/// their own names (1 GiB = 2^30 bytes). Real variable rates run below a codec's target. Check: media-rates.csv.
/// </remarks>
public readonly record struct MediaRate(double BitsPerSecond)
{
    /// <summary>The largest file that FAT32 takes: one byte less than 4 GiB.</summary>
    public const long Fat32Largest = 4_294_967_295;

    private const double GibiBytes = 1L << 30;

    /// <summary>A rate in megabits a second.</summary>
    /// <param name="megabits">Multiples of 10^6 bits a second.</param>
    public static MediaRate FromMegabits(double megabits) => new(megabits * 1e6);

    /// <summary>Uncompressed sound.</summary>
    /// <param name="samplesPerSecond">Samples a second and channel.</param>
    /// <param name="bits">Bits a sample.</param>
    /// <param name="channels">Channels.</param>
    public static MediaRate OfSound(double samplesPerSecond, int bits, int channels) => new(samplesPerSecond * bits * channels);

    /// <summary>Bytes a second.</summary>
    public double BytesPerSecond => BitsPerSecond / 8;

    /// <summary>Megabits a second.</summary>
    public double Megabits => BitsPerSecond / 1e6;

    /// <summary>Decimal gigabytes an hour.</summary>
    public double GigabytesPerHour => BytesPerSecond * 3600 / 1e9;

    /// <summary>Binary gibibytes an hour.</summary>
    public double GibibytesPerHour => BytesPerSecond * 3600 / GibiBytes;

    /// <summary>Time until a FAT32 card starts a new file: spanned clips.</summary>
    public Duration TimeToFat32Largest => Duration.FromSeconds(Fat32Largest / BytesPerSecond);

    /// <summary>Bytes of a recording.</summary>
    /// <param name="length">Its running time.</param>
    public ByteCount Bytes(Duration length) => new((long)Math.Round(BytesPerSecond * length.TotalSeconds));
}
