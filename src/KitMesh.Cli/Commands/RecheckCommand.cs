using System.CommandLine;
using KitMesh.Cli.Commands.Export;
using KitMesh.Cli.Commands.Offloading;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Offload.Drives;
using KitMesh.Offload.Handover;
using KitMesh.Offload.Recheck;
using NodaTime;

namespace KitMesh.Cli.Commands;

/// <summary><c>kitmesh recheck</c>: read the copies on drives again.</summary>
internal sealed class RecheckCommand : ICommandFile
{
    private readonly Argument<string[]> _drives = new("drive")
    {
        Description = "Folder where a drive is mounted; one or more.",
        Arity = ArgumentArity.OneOrMore,
    };

    private readonly Option<double> _olderThan = OptionKit.Number("--older-than", "Only copies not proven for this many days; 0 for all.", 0.0, 3650.0, 0.0);
    private readonly Option<double> _most = OptionKit.Number("--most", "Stop after this many gigabytes of each drive, oldest proof first; 0 for no limit.", 0.0, 1e6, 0.0);
    private readonly Option<string[]> _repair = new("--repair-from") { Description = "Mend bad copies from this drive; may be given more than once. Default: nothing is mended.", HelpName = "folder" };

    private readonly Option<DirectoryInfo?> _handover = OptionKit.Folder("--handover", "Prove the drives against this handover (written by kitmesh export footage): no hub, no network, nothing is written.", required: false);
    private readonly Option<bool> _remount = OptionKit.Switch("--remount", "Unmount each drive and mount it again first, so that nothing of it is in memory. Needs root.");
    private readonly Option<double> _energy = OptionKit.Number("--energy", "Watt-hours that may be spent on each drive, oldest proof first; 0 for no limit.", 0.0, 1e5, 0.0);
    private readonly Option<double> _cost = OptionKit.Number("--joules-per-gb", "What reading a gigabyte costs, station and drive together; 0: as measured on the drive, else 100.", 0.0, 1e5, 0.0);
    private readonly Option<bool> _unpowered = OptionKit.Switch("--unpowered", "The drives were unplugged and without power since their copies were written: copies of before are then proven power-cycled. Refused where the machine knows better.");

    private readonly Option<int> _patience = OptionKit.Number("--patience", "Seconds that a drive may leave a call unanswered before it is given up.", 1, 3600, 240);
    private readonly WattMeter _meter = new();

    /// <inheritdoc/>
    public Command Build(Surroundings surroundings)
    {
        var command = new Command("recheck", "Read the copies on drives again and compare them with their hashes.")
        {
            _drives, _olderThan, _most, _energy, _cost, _remount, _unpowered, _repair, _handover, _patience,
        };
        foreach (Option option in _meter.Options)
        {
            command.Options.Add(option);
        }

        return command.Runs(surroundings, RunAsync);
    }

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        _meter.Check(run);
        if (run.Get(_handover) is { } handover)
        {
            return await HandoverRecheck.RunAsync(run, handover.FullName, run.Get(_drives));
        }

        if (Array.Exists(run.Get(_drives), BagCheck.IsBag))
        {
            return await BagRecheck.RunAsync(run, run.Get(_drives));
        }

        var json = new OffloadJson(run);
        Action<ReportBody> listener = run.Json ? json.Tell : static _ => { };
        List<RecheckOutcome> outcomes = [];
        List<(string Root, string Why)> refusals = [];
        foreach (string root in run.Get(_drives))
        {
            var request = new RecheckRequest(root)
            {
                OlderThan = run.Get(_olderThan) is var days and > 0 ? Duration.FromDays(days) : null,
                MostBytes = Most(run, root),
                Power = run.Get(_unpowered) ? PowerWord.WasUnpowered : PowerWord.None,
                Remount = run.Get(_remount),
                RepairFrom = run.Get(_repair) ?? [],
                Patience = TimeSpan.FromSeconds(run.Get(_patience)),
            };
            RecheckResult? result = null;
            long start = run.Surroundings.Machine.GetTimestamp();
            await run.Talk.WithProgressAsync($"recheck {root}", say => Task.Run(() =>
                result = new RecheckEngine(run.Surroundings.World, run.Surroundings.Machine, run.Surroundings.Ids)
                    .Run(request, listener, (done, total) => say(total > 0 ? (double)done / total : 1), run.Stop)));
            switch (result)
            {
                case RecheckResult.Ran { Outcome: var outcome }:
                    _meter.Keep(run, run.Surroundings.Machine.GetElapsedTime(start), outcome.Silence is null ? [(root, outcome.Bytes)] : []);
                    outcomes.Add(outcome);
                    break;
                case RecheckResult.Refused refused:
                    refusals.Add((root, refused.Why));
                    break;
                default:
                    throw new System.Diagnostics.UnreachableException();
            }
        }

        if (outcomes.Count == 0)
        {
            throw CommandFault.BadInput(string.Join("\n         ", refusals.Select(refusal => refusal.Why)), "Nothing was changed.");
        }

        Print(run, outcomes, refusals);
        return outcomes.Exists(outcome => outcome.Stopped) ? ExitCode.Interrupted
            : refusals.Count > 0 || outcomes.Exists(outcome => outcome.Bad > 0 || outcome.Silence is not null) ? ExitCode.BadNews
            : ExitCode.Good;
    }

    private long? Most(CommandRun run, string root)
    {
        const double Unmeasured = 100;
        var cost = new JoulesPerGigabyte(run.Get(_cost) is var told and > 0 ? told : MoveCost.Of(Path.GetFullPath(root)) is { Value: > 0 } measured ? measured.Value : Unmeasured);
        long[] limits = [ByteCount.FromGigabytes(run.Get(_most)).Value, cost.Buys(new WattHours(run.Get(_energy))).Value];
        return limits.Where(limit => limit > 0).ToList() is { Count: > 0 } given ? given.Min() : null;
    }

    private static void Print(CommandRun run, List<RecheckOutcome> outcomes, List<(string Root, string Why)> refusals)
    {
        if (run.Json)
        {
            PrintJson(run, outcomes, refusals);
            return;
        }

        foreach (RecheckOutcome outcome in outcomes)
        {
            run.Out.Heading(outcome.Copies.Count == 0 ? $"{outcome.Drive}: no copy was read" : outcome is { Bad: 0, Copies.Count: 1 } ? $"{outcome.Drive}: its one copy is good" : outcome.Bad == 0 ? $"{outcome.Drive}: all {outcome.Copies.Count} copies are good" : $"{outcome.Drive}: {outcome.Bad} of {outcome.Copies.Count} copies are BAD");
            run.Out.Line($"  {outcome.Bytes} read again from the drive{(outcome.Levels.Count > 0 ? $" ({string.Join(", ", outcome.Levels.Select(level => FormattableString.Invariant($"{level.Value} {OffloadSummary.Level(level.Key)}")))})" : "")}.");
            foreach (RecheckedCopy copy in outcome.Copies.Where(copy => copy.Failure is not null))
            {
                run.Out.Line($"  {(copy.Repaired ? "Mended" : "Bad")}: {copy.Path}: {copy.Detail}");
            }

            if (outcome.Silence is { } silence)
            {
                run.Out.Line($"  It {silence}.");
            }

            if (outcome.Left.Count > 0 && outcome.Silence is null)
            {
                run.Out.Line($"  Left for another time: {outcome.Left.Count} copies that are due did not fit; the largest has {new ByteCount(outcome.Left.Max(size => size.Value))}. A copy larger than the limit is never read under it.");
            }

            if (outcome.Unlisted > 0)
            {
                run.Out.Line($"  Note: {outcome.Unlisted} files on it are in no list: nobody proved them.");
            }

            if (outcome.Copies.Any(copy => copy is { Failure: not null and not CopyFailure.DriveGone, Repaired: false }))
            {
                run.Out.Line("  Next: make these copies anew from another drive (--repair-from FOLDER), and do not trust this drive with the only copy of anything.");
            }
        }

        foreach ((string root, string why) in refusals)
        {
            run.Out.Heading($"{root}: not read");
            run.Out.Line($"  {why}.");
        }
    }

    private static void PrintJson(CommandRun run, List<RecheckOutcome> outcomes, List<(string Root, string Why)> refusals) =>
        run.Out.Json(new
        {
            kind = "recheck_verdict",
            good = outcomes.Sum(outcome => outcome.Good),
            bad = outcomes.Sum(outcome => outcome.Bad),
            refused = refusals.Select(refusal => new { drive = refusal.Root, why = refusal.Why }),
            drives = outcomes.Select(outcome => new
            {
                drive = outcome.Drive,
                copies = outcome.Copies.Count,
                bytes = outcome.Bytes,
                good = outcome.Good,
                bad = outcome.Bad,
                unlisted = outcome.Unlisted,
                levels = outcome.Levels,
                left = outcome.Left.Count,
                largestLeft = outcome.Left.Count > 0 ? outcome.Left.Max(size => size.Value) : 0,
                stopped = outcome.Stopped,
                silence = outcome.Silence,
                troubles = outcome.Copies.Where(copy => copy.Failure is not null).Select(copy => new
                {
                    path = copy.Path,
                    size = copy.Size,
                    xxh128 = copy.Clip,
                    failure = copy.Failure,
                    detail = copy.Detail,
                    repaired = copy.Repaired,
                }),
            }),
        });
}
