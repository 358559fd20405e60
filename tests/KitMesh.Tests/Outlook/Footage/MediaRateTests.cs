using KitMesh.Domain.Quantities;
using KitMesh.Outlook.Footage;
using KitMesh.Tests.Published;
using NodaTime;

namespace KitMesh.Tests.Outlook.Footage;

/// <summary>
/// Every row of media-rates.csv: PCM rates are rate × bits × channels; camera classes are makers' published data rates; the
/// other columns are arithmetic in decimal (GB) and binary (GiB) units.
/// </summary>
public sealed class MediaRateTests
{
    public static TheoryData<string, double, double, double, double, double> Rows()
    {
        var data = new TheoryData<string, double, double, double, double, double>();
        foreach (PublishedRow row in PublishedTable.Load("media-rates.csv").Rows)
        {
            data.Add(row["what"], row.Number("Mb_per_s"), row.Number("bytes_per_s"), row.Number("GB_per_hour_decimal"), row.Number("GiB_per_hour"), row.Number("seconds_to_fill_4GiB_minus_1"));
        }

        return data;
    }

    [Theory]
    [MemberData(nameof(Rows))]
    public void Rate_InEveryUnit_MatchesTheTable(string what, double megabits, double bytes, double gigabytes, double gibibytes, double seconds)
    {
        MediaRate rate = MediaRate.FromMegabits(megabits);

        Assert.NotEmpty(what);
        Assert.Equal(bytes, rate.BytesPerSecond, 6);
        Assert.Equal(gigabytes, rate.GigabytesPerHour, 9);
        Assert.Equal(gibibytes, rate.GibibytesPerHour, 0.00006);
        Assert.Equal(seconds, rate.TimeToFat32Largest.TotalSeconds, 0.06);
    }

    [Fact]
    public void Sound_24BitMono_Is1152Kilobits() => Assert.Equal(1.152, MediaRate.OfSound(48_000, 24, 1).Megabits, 12);

    [Fact]
    public void Hour_Of220Megabits_Is99DecimalGigabytes()
    {
        // A national library's page says 97 GB for this rate; the arithmetic is 99.0 GB or 92.2 GiB.
        Assert.Equal(new ByteCount(99_000_000_000), MediaRate.FromMegabits(220).Bytes(Duration.FromHours(1)));
        Assert.Equal(92.2, MediaRate.FromMegabits(220).GibibytesPerHour, 0.05);
    }
}
