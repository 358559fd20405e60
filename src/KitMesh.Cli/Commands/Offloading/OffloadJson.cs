using KitMesh.Cli.Frame;
using KitMesh.Domain.Reports;
using KitMesh.Offload.Engine;
using KitMesh.Offload.Hashing;

namespace KitMesh.Cli.Commands.Offloading;

/// <summary>Prints an offload as one JSON object a line; the shapes are in docs/offload.md.</summary>
internal sealed class OffloadJson(CommandRun run)
{
    private readonly Lock _lock = new();

    /// <summary>One fact.</summary>
    /// <param name="body">The fact.</param>
    public void Tell(ReportBody body)
    {
        switch (body)
        {
            case CardSeen seen:
                Line(new { kind = "card_seen", card = seen.Card, insertion = seen.Insertion, source = seen.Source, bytes = seen.Used, files = seen.Files });
                break;
            case ClipFound found:
                Line(new { kind = "clip_found", path = found.Path, size = found.Size, xxh128 = found.Clip, recorded = found.Recorded, lengthSeconds = found.Length, damage = found.Damage });
                break;
            case CopyMade made:
                Line(new { kind = "copy_made", drive = made.Drive, path = made.Path, size = made.Size, xxh128 = made.Clip });
                break;
            case CopyVerified verified:
                Line(new { kind = "copy_verified", drive = verified.Drive, path = verified.Path, size = verified.Size, xxh128 = verified.Clip, level = verified.Level, recheck = verified.Recheck });
                break;
            case CopyFailed failed:
                Line(new { kind = "copy_failed", drive = failed.Drive, path = failed.Path, xxh128 = failed.Clip, failure = failed.Failure, detail = failed.Detail });
                break;
            case DriveState state:
                Line(new { kind = "drive_state", drive = state.Drive, capacity = state.Capacity, free = state.Free, health = state.Health, identity = state.Identity, joulesPerGb = state.MoveCost?.Value });
                break;
            default:
                break;
        }
    }

    /// <summary>The last line.</summary>
    /// <param name="outcome">What the offload came to.</param>
    /// <param name="verdict">May the card be formatted.</param>
    public void Tell(OffloadOutcome outcome, CardVerdict verdict) => Line(new
    {
        kind = "card_verdict",
        card = outcome.Card,
        clips = outcome.Clips.Count,
        bytes = outcome.Bytes,
        copiesWanted = outcome.CopiesWanted,
        copiesVerified = outcome.CopiesVerified,
        failed = outcome.Failed,
        stopped = outcome.Stopped,
        mayFormat = verdict.MayFormat,
        reasons = verdict.Reasons,
        soundLacks = outcome.SoundLacks,
        missingChapters = outcome.MissingChapters,
        remarks = outcome.Remarks,
        passedOver = outcome.PassedOver,
        unreadable = outcome.Unreadable,
        clip = outcome.Clips.Select(Clip),
    });

    private static object Clip(ClipOutcome clip) => new
    {
        path = clip.Path,
        size = clip.Size,
        xxh128 = clip.Clip,
        hashes = clip.Hashes.ToDictionary(hash => HashNames.Of(hash.Kind), hash => hash.Text),
        failure = clip.CardFailure,
        detail = clip.CardDetail,
        damage = clip.Damage,
        copies = clip.Copies.Select(copy => new
        {
            drive = copy.Drive,
            state = copy.State,
            path = copy.Path,
            level = copy.Level,
            failure = copy.Failure,
            detail = copy.Detail,
        }),
    };

    private void Line<T>(T value)
    {
        lock (_lock)
        {
            run.Out.Json(value);
        }
    }
}
