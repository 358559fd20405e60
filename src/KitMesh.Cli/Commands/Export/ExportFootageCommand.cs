using System.CommandLine;
using KitMesh.Cli.Asking;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Export.Handover;
using KitMesh.Offload.Handover;
using NodaTime;

namespace KitMesh.Cli.Commands.Export;

/// <summary><c>kitmesh export footage</c>: what is handed over beside the drives, and a bag when asked.</summary>
internal sealed class ExportFootageCommand : ICommandFile
{
    private readonly Option<Uri> _hub = OptionKit.Hub();
    private readonly Option<DirectoryInfo?> _to = OptionKit.Folder("--to", "Folder for inventory, sheets and histories; must be empty or absent.", required: true);
    private readonly Option<DirectoryInfo?> _bag = OptionKit.Folder("--bag", "Make a bag (BagIt) of every clip here too, copied from the drives named with --drive.", required: false);
    private readonly Option<string[]> _drive = new("--drive") { Description = "Folder where a drive is mounted, for --bag; may be given more than once.", HelpName = "folder" };

    public Command Build(Surroundings surroundings) =>
        new Command("footage", "Inventory (JSON and CSV), a sheet a day, an ASC MHL history a drive; kitmesh recheck --handover proves the drives against it. Exit code 1 when a clip has no good copy.")
        {
            _to, _bag, _drive, _hub,
        }.Runs(surroundings, RunAsync);

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        string to = Empty(run.Get(_to)!);
        string? bag = run.Get(_bag) is { } folder ? Empty(folder) : null;
        using var hub = new HubClient(run.Get(_hub), run.Surroundings.Machine, run.Stop, run.IdentityFolder);
        Inventory inventory = await FetchAsync(run, hub);
        if (inventory.Clips.Count == 0)
        {
            throw CommandFault.BadInput("The hub knows of no clip.", "Is it the right hub (--hub)? Nothing was written.");
        }

        IReadOnlyList<HandoverFile> files = HandoverFiles.Of(inventory, run.Surroundings.World.GetCurrentInstant(), Environment.MachineName);
        HandoverFolder.Write(to, files);
        BagOutcome? bagged = bag is null ? null : await BagAsync(run, bag, inventory);
        int missing = inventory.Clips.Count(clip => !clip.HasGoodCopy);
        Print(run, to, inventory, files.Count, missing, bagged);
        return bagged is { Stopped: true } ? ExitCode.Interrupted
            : missing > 0 || bagged is { IsGood: false } ? ExitCode.BadNews
            : ExitCode.Good;
    }

    private static async Task<Inventory> FetchAsync(CommandRun run, HubClient hub)
    {
        string trip = (await hub.StatusAsync()).Trip;
        Inventory? inventory = null;
        await run.Talk.WithProgressAsync("ledger", async _ => inventory = await InventoryReader.ReadAsync(hub, trip));
        return inventory!;
    }

    private async Task<BagOutcome> BagAsync(CommandRun run, string bag, Inventory inventory)
    {
        IReadOnlyList<BagItem> items = BagList.Of(inventory, [.. (run.Get(_drive) ?? []).Select(Path.GetFullPath)]);
        (string, string)[] labels =
        [
            ("External-Identifier", inventory.Trip?.Value ?? "footage"),
            ("Bagging-Date", NodaTime.Text.LocalDatePattern.Iso.Format(inventory.AsOf.WithOffset(inventory.ZoneOffset).Date)),
            ("Bag-Size", new ByteCount(items.Sum(item => item.Size)).ToString()),
        ];
        BagOutcome? outcome = null;
        await run.Talk.WithProgressAsync("bag", say => Task.Run(() =>
            outcome = BagMaker.Make(bag, items, labels, (done, total) => say(total > 0 ? (double)done / total : 1), run.Stop)));
        return outcome!;
    }

    private static string Empty(DirectoryInfo folder) =>
        folder.Exists && folder.EnumerateFileSystemInfos().Any()
            ? throw CommandFault.BadInput($"{folder.FullName} is not empty.", "Name a new folder: a handover is never mixed with another one. Nothing was written.")
            : folder.FullName;

    private static void Print(CommandRun run, string to, Inventory inventory, int files, int missing, BagOutcome? bagged)
    {
        int damaged = inventory.Clips.Count(clip => clip.Damage is not null);
        int shortOf = inventory.Clips.Count(clip => !clip.MeetsRule);
        if (run.Json)
        {
            run.Out.Json(new
            {
                kind = "footage_handover",
                to,
                files,
                asOf = inventory.AsOf,
                clips = inventory.Clips.Count,
                bytes = new ByteCount(inventory.Clips.Sum(clip => clip.Size.Value)),
                drives = inventory.Drives.Select(drive => new { drive = drive.Drive, goodCopies = drive.GoodCopies, doubt = drive.Doubt }),
                missing,
                damaged,
                shortOfRule = shortOf,
                bag = bagged is null ? null : new { files = bagged.Files, bytes = bagged.Bytes, faults = bagged.Faults, stopped = bagged.Stopped },
            });
            return;
        }

        run.Out.Heading($"Handover in {to}");
        run.Out.Line($"  {inventory.Clips.Count} clips on {inventory.Drives.Count} drives; {missing} without a good copy, {damaged} damaged in themselves, {shortOf} short of their copy rule.");
        if (bagged is not null)
        {
            run.Out.Line($"  Bag: {bagged.Files} clips, {new ByteCount(bagged.Bytes)}{(bagged.Stopped ? "; STOPPED, it is no bag" : "")}.");
            foreach (string fault in bagged.Faults)
            {
                run.Out.Line($"  Not in the bag: {fault}");
            }
        }

        run.Out.Line("Next: give the folder with the drives. On the other side: kitmesh recheck --handover FOLDER DRIVE... (no hub, no network).");
    }
}
