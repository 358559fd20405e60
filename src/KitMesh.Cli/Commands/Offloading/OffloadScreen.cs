using System.Globalization;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Quantities;
using KitMesh.Offload.Engine;
using Spectre.Console;

namespace KitMesh.Cli.Commands.Offloading;

/// <summary>Progress on a terminal: the card and each drive, with rate and time left. Elsewhere nothing.</summary>
internal static class OffloadScreen
{
    private static readonly TimeSpan Beat = TimeSpan.FromMilliseconds(250);

    /// <summary>Shows progress until the work ends.</summary>
    /// <param name="run">The run.</param>
    /// <param name="progress">Where the engine counts.</param>
    /// <param name="work">The work.</param>
    public static async Task ShowAsync(CommandRun run, OffloadProgress progress, Task work)
    {
        Surroundings around = run.Surroundings;
        if (!around.ErrorIsTerminal)
        {
            await Task.WhenAny(work);
            return;
        }

        IAnsiConsole console = AnsiConsole.Create(new AnsiConsoleSettings
        {
            Ansi = AnsiSupport.Detect,
            ColorSystem = around.Colour ? ColorSystemSupport.Detect : ColorSystemSupport.NoColors,
            Out = new AnsiConsoleOutput(around.ErrorStream),
        });
        long start = around.Machine.GetTimestamp();
        await console
            .Progress()
            .AutoClear(true)
            .Columns(new TaskDescriptionColumn { Alignment = Justify.Left }, new ProgressBarColumn(), new PercentageColumn())
            .StartAsync(async context =>
            {
                ProgressTask card = context.AddTask("card", maxValue: 1);
                List<ProgressTask> drives = [];
                while (!work.IsCompleted)
                {
                    Draw(context, progress, card, drives, around.Machine.GetElapsedTime(start));
                    await Task.WhenAny(work, Task.Delay(Beat, around.Machine));
                }
            });
    }

    private static void Draw(ProgressContext context, OffloadProgress progress, ProgressTask card, List<ProgressTask> drives, TimeSpan elapsed)
    {
        double total = Math.Max(1, progress.TotalBytes);
        card.Value = progress.ReadBytes / total;
        card.Description = Markup.Escape($"card  {progress.Current}");
        while (drives.Count < progress.Drives.Count)
        {
            drives.Add(context.AddTask(Markup.Escape(progress.Drives[drives.Count].Drive.Value), maxValue: 1));
        }

        for (int i = 0; i < drives.Count; i++)
        {
            DriveProgress drive = progress.Drives[i];
            double moved = drive.WrittenBytes + drive.ProvenBytes;
            double rate = elapsed.TotalSeconds > 0 ? moved / elapsed.TotalSeconds : 0;
            double left = rate > 0 ? ((2 * total) - moved) / rate : 0;
            drives[i].Value = moved / (2 * total);
            drives[i].Description = Markup.Escape(drive.Trouble is { } trouble
                ? $"{drive.Drive}  FAULT: {trouble}"
                : string.Create(CultureInfo.InvariantCulture, $"{drive.Drive}  {new ByteCount((long)rate)}/s, {TimeSpan.FromSeconds(Math.Clamp(left, 0, 359_999)):h\\:mm\\:ss} left"));
        }
    }
}
