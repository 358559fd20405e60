using System.CommandLine;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Quantities;
using KitMesh.Outlook.Footage;
using NodaTime;
using Spectre.Console;

namespace KitMesh.Cli.Commands.Calc;

/// <summary><c>kitmesh calc storage</c>: what a data rate fills, in decimal and in binary units.</summary>
internal sealed class CalcStorageCommand : ICommandFile
{
    private const double MostMegabits = 1e6;

    private static readonly string[] Needed = ["Mb_per_s"];

    private static readonly string[] Added =
    [
        "bytes_per_s", "GB_per_hour_decimal", "GiB_per_hour", "seconds_to_fill_4GiB_minus_1", "GB_per_day_decimal", "GB_total_decimal",
    ];

    private readonly Option<double> _rate = OptionKit.Number("--mbps", "Data rate in megabits (10^6 bits) a second.", 0, MostMegabits, 100.0);
    private readonly Option<double> _sampleRate = OptionKit.Number("--sample-rate", "For sound: samples a second; then --bits and --channels count, not --mbps. 0: no sound.", 0, 1e7, 0.0);
    private readonly Option<int> _bits = OptionKit.Number("--bits", "For sound: bits a sample.", 1, 64, 24);
    private readonly Option<int> _channels = OptionKit.Number("--channels", "For sound: channels.", 1, 1024, 1);
    private readonly Option<double> _hours = OptionKit.Number("--hours-per-day", "Hours recorded a day.", 0, 24.0, 2.0);
    private readonly Option<double> _days = OptionKit.Number("--days", "Days.", 0, 36525.0, 26.0);
    private readonly Option<int> _copies = OptionKit.Number("--copies", "Copies of everything.", 1, 64, 3);
    private readonly Option<FileInfo> _csv = new("--csv")
    {
        Description = "Read rows with the column Mb_per_s (and hours_per_day, days, copies, if wanted) and add the rest.",
        HelpName = "file",
    };

    public Command Build(Surroundings surroundings) =>
        new Command("storage", "How many gigabytes a camera or recorder fills. Decimal units (1 GB = 10^9 bytes) unless named GiB.")
        {
            _rate, _sampleRate, _bits, _channels, _hours, _days, _copies, _csv.AcceptExistingOnly(),
        }.Runs(surroundings, Run);

    private ExitCode Run(CommandRun run)
    {
        if (run.Get(_csv) is { } csv)
        {
            CsvSheet.Run(run, csv, Needed, Added, Row);
            return ExitCode.Good;
        }

        MediaRate rate = run.Get(_sampleRate) > 0
            ? MediaRate.OfSound(run.Get(_sampleRate), run.Get(_bits), run.Get(_channels))
            : MediaRate.FromMegabits(run.Get(_rate));
        ByteCount day = rate.Bytes(Duration.FromHours(run.Get(_hours)));
        double total = day.Gigabytes * run.Get(_days) * run.Get(_copies);
        if (run.Json)
        {
            double?[] values =
            [
                rate.BytesPerSecond,
                rate.GigabytesPerHour,
                rate.GibibytesPerHour,
                rate.BytesPerSecond > 0 ? rate.TimeToFat32Largest.TotalSeconds : null,
                day.Gigabytes,
                total,
            ];
            Dictionary<string, double?> answer = new() { ["Mb_per_s"] = rate.Megabits };
            foreach ((string name, double? value) in Added.Zip(values))
            {
                answer.Add(name, value);
            }

            run.Out.Json(answer);
            return ExitCode.Good;
        }

        Table table = DataOut.Table("", ">decimal", ">binary");
        table.AddRow("an hour", $"{rate.GigabytesPerHour:0.###} GB", $"{rate.GibibytesPerHour:0.###} GiB");
        table.AddRow("a day", day.ToString(), $"{day.Value / (double)(1L << 30):0.##} GiB");
        table.AddRow(
            Markup.Escape($"{run.Get(_days):0.##} days, {run.Get(_copies)} copies"),
            ByteCount.FromGigabytes(total).ToString(),
            $"{total * 1e9 / (1L << 40):0.###} TiB");
        run.Out.Draw(table);
        if (rate.BytesPerSecond > 0)
        {
            run.Out.Line($"A card formatted FAT32 starts a new file every {rate.TimeToFat32Largest.TotalSeconds:0.#} s.");
        }

        return ExitCode.Good;
    }

    private static double?[] Row(CsvRow row)
    {
        MediaRate rate = MediaRate.FromMegabits(row.Number("Mb_per_s", 0, MostMegabits));
        double? perDay = row.Has("hours_per_day") ? rate.GigabytesPerHour * row.Number("hours_per_day", 0, 24) : null;
        return
        [
            rate.BytesPerSecond,
            rate.GigabytesPerHour,
            rate.GibibytesPerHour,
            rate.BytesPerSecond > 0 ? MediaRate.Fat32Largest / rate.BytesPerSecond : null,
            perDay,
            perDay is { } gigabytes && row.Has("days") ? gigabytes * row.Number("days", 0, 36525) * row.Number("copies", 1, 64, 1) : null,
        ];
    }
}
