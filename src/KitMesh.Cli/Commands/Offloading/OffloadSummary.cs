using System.Globalization;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Reports;
using KitMesh.Offload.Engine;
using Spectre.Console;

namespace KitMesh.Cli.Commands.Offloading;

/// <summary>What an offload came to, for a tired person: first whether the card may be formatted, then why, then what to do.</summary>
internal static class OffloadSummary
{
    private const int MostFaults = 12;

    /// <summary>Prints it.</summary>
    /// <param name="run">The run.</param>
    /// <param name="outcome">The outcome.</param>
    /// <param name="verdict">The verdict.</param>
    public static void Print(CommandRun run, OffloadOutcome outcome, CardVerdict verdict)
    {
        DataOut data = run.Out;
        data.Heading(verdict.MayFormat ? $"Card {outcome.Card} MAY BE FORMATTED" : $"Card {outcome.Card} is ON HOLD: do not format it");
        int safe = outcome.Clips.Count(clip => clip.CardFailure is null && clip.Proofs >= outcome.CopiesWanted);
        data.Line(string.Create(CultureInfo.InvariantCulture, $"  {safe} of {outcome.Clips.Count} clips ({outcome.Bytes}) are proven on {outcome.CopiesWanted} {(outcome.CopiesWanted == 1 ? "drive" : "drives")}."));
        foreach (string reason in verdict.Reasons)
        {
            data.Line($"  Why not: {reason}.");
        }

        data.Draw(Drives(outcome));
        Faults(data, outcome);
        foreach (string remark in outcome.Remarks)
        {
            data.Line($"  Note: {remark}.");
        }

        foreach (string lack in outcome.SoundLacks.Take(MostFaults))
        {
            data.Line($"  Sound: {lack}.");
        }

        if (!verdict.MayFormat)
        {
            data.Line("  Next: keep the card as it is, mend what is named above, and run the same command again; what is proven is not copied twice.");
        }
    }

    private static Table Drives(OffloadOutcome outcome)
    {
        Table table = DataOut.Table("Drive", ">Proven now", ">Before", ">Failed", ">Not made", ">Free", "Read back");
        for (int i = 0; i < outcome.Drives.Count; i++)
        {
            List<CopyOutcome> copies = [.. outcome.Clips.Select(clip => clip.Copies[i])];
            ReadBackLevel? weakest = copies.Min(copy => copy.Level);
            table.AddRow(
                Markup.Escape(outcome.Drives[i].Drive.Value),
                Number(copies.Count(copy => copy.State == CopyState.Verified)),
                Number(copies.Count(copy => copy.State == CopyState.VerifiedBefore)),
                Number(copies.Count(copy => copy.State == CopyState.Failed)),
                Number(copies.Count(copy => copy.State is CopyState.NotMade or CopyState.Made)),
                outcome.Drives[i].Free.ToString(),
                Level(weakest));
        }

        return table;
    }

    private static void Faults(DataOut data, OffloadOutcome outcome)
    {
        List<string> faults = [];
        faults.AddRange(outcome.Clips.Where(clip => clip.CardFailure is not null).Select(clip => $"card: {clip.Path}: {clip.CardDetail}"));
        faults.AddRange(outcome.Clips.Where(clip => clip.Damage is not null).Select(clip => $"card: {clip.Path} is broken in itself: {clip.Damage}"));
        faults.AddRange(outcome.Clips
            .SelectMany(clip => clip.Copies.Where(copy => copy.State == CopyState.Failed).Select(copy => (clip.Path, copy)))
            .GroupBy(pair => (pair.copy.Drive, pair.copy.Failure, Gist(pair.copy)))
            .Select(group => group.Count() == 1
                ? $"{group.Key.Drive}: {group.First().Path}: {group.First().copy.Detail}"
                : string.Create(CultureInfo.InvariantCulture, $"{group.Key.Drive}: {group.Count()} clips from {group.First().Path} on: {group.First().copy.Detail}")));
        foreach (string fault in faults.Take(MostFaults))
        {
            data.Line($"  Failed: {fault}");
        }

        if (faults.Count > MostFaults)
        {
            data.Line(string.Create(CultureInfo.InvariantCulture, $"  ... and {faults.Count - MostFaults} more; --json lists all."));
        }
    }

    // Details name the file; one drive that is gone says the same of a thousand files.
    private static string Gist(CopyOutcome copy) => copy.Failure is CopyFailure.DriveGone or CopyFailure.DriveFull ? "" : copy.Path;

    private static string Number(int number) => number.ToString(CultureInfo.InvariantCulture);

    /// <summary>A proof level in words.</summary>
    /// <param name="level">The level.</param>
    public static string Level(ReadBackLevel? level) => level switch
    {
        null => "-",
        ReadBackLevel.Cached => "from memory only: no proof",
        ReadBackLevel.CacheDropped => "cache dropped",
        ReadBackLevel.Direct => "direct from the drive",
        ReadBackLevel.Remounted => "after a remount",
        ReadBackLevel.PowerCycled => "after a power cycle",
        _ => "unknown",
    };
}
