using System.Globalization;
using KitMesh.Domain.Quantities;
using KitMesh.Outlook.Footage;

namespace KitMesh.Cli.Commands.Calc;

/// <summary><c>kitmesh calc storage</c>: what a data rate fills, in decimal and in binary units.</summary>
internal sealed class CalcStorageCommand : CalcVerb
{
    private const double MostMegabits = 1e6;

    public override string Name => "storage";

    public override string Meaning => "How much a camera or recorder fills. Decimal units (1 GB = 10^9 bytes) unless named GiB.";

    public override CalcColumn[] Inputs =>
    [
        new("Mb_per_s", "Data rate in megabits (10^6 bits) a second, from 0; empty for sound by sample rate.", ""),
        new("sample_rate_Hz", "For uncompressed sound: samples a second.", ""),
        new("bits", "For uncompressed sound: bits a sample, from 1 to 64.", "24"),
        new("channels", "For uncompressed sound: channels, from 1 to 1,024.", "1"),
        new("hours_per_day", "Hours recorded a day, from 0 to 24.", ""),
        new("days", "Days, from 0.", ""),
        new("copies", "Copies of everything, from 1 to 64.", "1"),
    ];

    public override string[] Outputs =>
    [
        "bytes_per_s", "GB_per_hour_decimal", "GiB_per_hour", "seconds_to_fill_4GiB_minus_1", "GB_per_day_decimal", "GB_total_decimal",
    ];

    public override CalcAnswer Compute(CalcRow row)
    {
        if (!row.Has("Mb_per_s") && !row.Has("sample_rate_Hz"))
        {
            throw new CalcException("it needs a data rate (Mb_per_s) or, for sound, a sample rate (sample_rate_Hz)");
        }

        MediaRate rate = row.Has("Mb_per_s")
            ? MediaRate.FromMegabits(row.Number("Mb_per_s", 0, MostMegabits))
            : MediaRate.OfSound(row.Number("sample_rate_Hz", 0, 1e7), row.Whole("bits", 1, 64), row.Whole("channels", 1, 1024));
        double? perDay = row.Has("hours_per_day") ? rate.GigabytesPerHour * row.Number("hours_per_day", 0, 24) : null;
        double? total = perDay is { } day && row.Has("days") ? day * row.Number("days", 0, 36_525) * row.Number("copies", 1, 64) : null;
        bool fills = rate.BytesPerSecond > 0;
        return new CalcAnswer(
            [rate.BytesPerSecond, rate.GigabytesPerHour, rate.GibibytesPerHour, fills ? rate.TimeToFat32Largest.TotalSeconds : null, perDay, total],
            string.Create(
                CultureInfo.InvariantCulture,
                $"{rate.GigabytesPerHour:0.###} GB ({rate.GibibytesPerHour:0.###} GiB) an hour{(total is { } all ? $"; {ByteCount.FromGigabytes(all)} in all" : "")}."));
    }
}
