using System.CommandLine;
using KitMesh.Cli.Commands.Offloading;
using KitMesh.Cli.Frame;
using KitMesh.Disk.Media;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Offload.Drives;
using KitMesh.Offload.Engine;
using KitMesh.Offload.Hashing;
using KitMesh.Offload.Names;

namespace KitMesh.Cli.Commands;

/// <summary><c>kitmesh offload</c>: one card to its drives, proven.</summary>
internal sealed class OffloadCommand : ICommandFile
{
    private static readonly Dictionary<string, ReadBackOrder> Orders = new(StringComparer.Ordinal)
    {
        ["automatic"] = ReadBackOrder.Automatic,
        ["overlapping"] = ReadBackOrder.Overlapping,
        ["alternating"] = ReadBackOrder.Alternating,
    };

    private readonly Option<string> _from = OptionKit.TextRequired("--from", "Folder where the card is mounted; only read, never written.");
    private readonly Option<string[]> _to = new("--to")
    {
        Description = "Folder where a drive is mounted; once for each drive. Required.",
        Required = true,
        HelpName = "folder",
        AllowMultipleArgumentsPerToken = false,
    };

    private readonly Option<string?> _card = OptionKit.Text("--card", "Name of the card. Default: the folder's name.");
    private readonly Option<string?> _source = OptionKit.Text("--source", "Name of the camera or recorder. Default: not told.");
    private readonly Option<int> _copies = OptionKit.Number("--copies", "Proven copies before the card may be formatted; 0: one on each drive named, at least 2.", 0, OffloadRequest.MaxDrives, 0);
    private readonly Option<string[]> _hash = new("--hash") { Description = $"A further hash, taken in the same read: {string.Join(", ", HashNames.Names.Skip(1))}. Default: none.", HelpName = "name" };
    private readonly Option<string?> _template = OptionKit.Text("--template", "Where files go on a drive; fields {day}, {source}, {card}, and {path} last.", PathTemplate.Standard);
    private readonly Option<string?> _order = OptionKit.Text("--read-back", "When copies are read back: automatic, overlapping or alternating.", "automatic");
    private readonly Option<bool> _reread = OptionKit.Switch("--reread", "Read the whole card again, even what is known to be safe.");
    private readonly Option<bool> _fitDays = OptionKit.Switch("--fit-days", "Give a drive that is too full the whole days that fit; else it gets nothing.");
    private readonly Option<bool> _noManifest = OptionKit.Switch("--no-manifest", "Write no ASC MHL manifest on the drives.");
    private readonly Option<bool> _damagedOk = OptionKit.Switch("--damaged-ok", "Let a card go although a recording on it is broken in itself or lacks a chapter.");
    private readonly Option<bool> _protect = OptionKit.Switch("--protect", "Make the card's mount read-only first. Needs root.");

    private readonly Option<int> _patience = OptionKit.Number("--patience", "Seconds that a drive or the card may leave a call unanswered before the offload goes on without it.", 1, 3600, 240);

    private readonly DriveWeather _weather = new();
    private readonly WattMeter _meter = new();

    /// <inheritdoc/>
    public Command Build(Surroundings surroundings)
    {
        var command = new Command("offload", "Copy a card to drives, read every copy back, and say whether the card may be formatted.")
        {
            _from, _to, _card, _source, _copies, _hash, _template, _order, _reread, _fitDays, _noManifest, _damagedOk, _protect, _patience,
        };
        foreach (Option option in _weather.Options.Concat(_meter.Options))
        {
            command.Options.Add(option);
        }

        return command.Runs(surroundings, RunAsync);
    }

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        OffloadRequest request = Request(run);
        _weather.Check(run, run.Get(_to));
        _meter.Check(run);
        var progress = new OffloadProgress();
        var json = new OffloadJson(run);
        var engine = new OffloadEngine(run.Surroundings.World, run.Surroundings.Machine, run.Surroundings.Ids);
        Action<ReportBody> listener = run.Json ? json.Tell : static _ => { };
        long start = run.Surroundings.Machine.GetTimestamp();
        Task<OffloadResult> work = Task.Factory.StartNew(
            () => engine.Run(request, listener, progress, run.Stop), CancellationToken.None, TaskCreationOptions.LongRunning, TaskScheduler.Default);
        await OffloadScreen.ShowAsync(run, progress, work);
        switch (await work)
        {
            case OffloadResult.Refused refused:
                throw CommandFault.BadInput(string.Join("\n         ", refused.Problems), "Nothing was written.");
            case OffloadResult.Ran { Outcome: var outcome }:
                _meter.Keep(run, run.Surroundings.Machine.GetElapsedTime(start), Moved(request, outcome));
                CardVerdict verdict = outcome.Verdict(run.Get(_damagedOk));
                if (run.Json)
                {
                    json.Tell(outcome, verdict);
                }
                else
                {
                    OffloadSummary.Print(run, outcome, verdict);
                }

                return outcome.Stopped ? ExitCode.Interrupted : verdict.MayFormat && outcome.Failed == 0 ? ExitCode.Good : ExitCode.BadNews;
            default:
                throw new System.Diagnostics.UnreachableException();
        }
    }

    // What was proven now was written once and read once.
    private static IReadOnlyList<(string Root, ByteCount Moved)> Moved(OffloadRequest request, OffloadOutcome outcome) =>
    [
        .. request.Drives.Select((drive, i) => (drive.Root, new ByteCount(2 * outcome.Clips.Where(clip => clip.Copies[i].State == CopyState.Verified).Sum(clip => clip.Size.Value)))),
    ];

    private OffloadRequest Request(CommandRun run)
    {
        string from = run.Get(_from);
        string[] to = run.Get(_to);
        int copies = run.Get(_copies);
        return new OffloadRequest(
            from,
            Name(run.Get(_card) ?? Path.GetFileName(Path.TrimEndingDirectorySeparator(Path.GetFullPath(from))), "--card", "card"),
            KitId.Parse(run.Surroundings.Ids().ToString("x16", System.Globalization.CultureInfo.InvariantCulture)),
            run.Get(_source) is { } source ? Name(source, "--source", "") : null,
            [.. to.Select(root => new DriveTarget(root))],
            copies == 0 ? Math.Max(2, to.Length) : copies)
        {
            Template = Template(run.Get(_template)!),
            ExtraHashes = [.. (run.Get(_hash) ?? []).Select(Hash)],
            Order = Orders.TryGetValue(run.Get(_order)!, out ReadBackOrder order)
                ? order
                : throw CommandFault.BadInput($"--read-back knows no \"{run.Get(_order)}\".", $"Write one of {string.Join(", ", Orders.Keys)}."),
            RereadKnown = run.Get(_reread),
            FitDays = run.Get(_fitDays),
            ProtectCard = run.Get(_protect),
            Manifests = !run.Get(_noManifest),
            Patience = TimeSpan.FromSeconds(run.Get(_patience)),
        };
    }

    private static KitId Name(string text, string option, string otherwise) =>
        KitId.TryParse(RawName.Shown(text), out KitId id) || KitId.TryParse(otherwise, out id)
            ? id
            : throw CommandFault.BadInput($"{option}: \"{text}\" is no name.", $"Use 1 to {KitId.MaxLength} printable characters.");

    private static HashKind Hash(string name) => HashNames.TryParse(name, out HashKind kind)
        ? kind
        : throw CommandFault.BadInput($"--hash knows no \"{name}\".", $"Write one of {string.Join(", ", HashNames.Names)}.");

    private static PathTemplate Template(string text) => PathTemplate.TryParse(text, out PathTemplate template) is { } wrong
        ? throw CommandFault.BadInput($"--template \"{text}\": {wrong}.", $"The default is {PathTemplate.Standard}.")
        : template;
}
