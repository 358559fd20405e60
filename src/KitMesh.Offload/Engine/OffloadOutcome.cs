using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Offload.Cards;

namespace KitMesh.Offload.Engine;

/// <summary>What an offload came to.</summary>
/// <param name="Card">The card.</param>
/// <param name="Clips">Every file of the card.</param>
/// <param name="PassedOver">Entries that are no footage and were not copied.</param>
/// <param name="Unreadable">Folders and entries of the card that could not be looked at.</param>
/// <param name="Drives">Each drive as it is now.</param>
/// <param name="CopiesWanted">Proven copies that were asked for.</param>
/// <param name="CardSteady">False when the card's files were others at the end than at the start.</param>
/// <param name="Stopped">True when the user stopped it.</param>
/// <param name="Remarks">What a person should know beside the clips: unfinished files removed, drives on one device.</param>
public sealed record OffloadOutcome(
    KitId Card,
    ValueList<ClipOutcome> Clips,
    IReadOnlyList<CardRemark> PassedOver,
    IReadOnlyList<CardRemark> Unreadable,
    IReadOnlyList<DriveState> Drives,
    int CopiesWanted,
    bool CardSteady,
    bool Stopped,
    IReadOnlyList<string> Remarks)
{
    /// <summary>
    /// Pictures without a recorder's sound in the days of this card, as far as the drives' lists know those days; a remark
    /// and no reason to hold the card.
    /// </summary>
    public IReadOnlyList<string> SoundLacks { get; init; } = [];

    /// <summary>Chapters that are missing in the middle of recordings, in words.</summary>
    public IReadOnlyList<string> MissingChapters { get; init; } = [];

    /// <summary>Bytes of all files.</summary>
    public ByteCount Bytes => new(Clips.Sum(clip => clip.Size.Value));

    /// <summary>Copies that are proof, old and new.</summary>
    public int CopiesVerified => Clips.Sum(clip => clip.Proofs);

    /// <summary>Copies and files that failed.</summary>
    public int Failed => Unreadable.Count
        + Clips.Count(clip => clip.CardFailure is not null)
        + Clips.Where(clip => clip.CardFailure is null).Sum(clip => clip.Copies.Count(copy => copy.State == CopyState.Failed));

    /// <summary>May the card be formatted?</summary>
    /// <param name="damagedOk">
    /// Let it go although a recording on it is broken in itself. Common practice, no source: a camera can often mend a
    /// recording that lost power, but only on the card that it was written to.
    /// </param>
    public CardVerdict Verdict(bool damagedOk = false)
    {
        List<string> reasons = [];
        if (Stopped)
        {
            reasons.Add("the offload was stopped before it was done");
        }

        if (Unreadable.Count > 0)
        {
            reasons.Add($"{Count(Unreadable.Count, "entry", "entries")} of the card could not be read, such as {Unreadable[0].Path}");
        }

        if (Clips.Count == 0)
        {
            reasons.Add("no file was found on it; is this the right folder, and is the card readable?");
        }

        if (!CardSteady)
        {
            reasons.Add("its files changed while it was copied");
        }

        int broken = Clips.Count(clip => clip.CardFailure is not null);
        if (broken > 0)
        {
            ClipOutcome first = Clips.First(clip => clip.CardFailure is not null);
            reasons.Add($"{Count(broken, "clip", "clips")} could not be read whole from the card, such as {first.Path}");
        }

        int few = Clips.Count(clip => clip.CardFailure is null && clip.Proofs < CopiesWanted);
        if (few > 0)
        {
            int least = Clips.Where(clip => clip.CardFailure is null).Min(clip => clip.Proofs);
            reasons.Add($"{Count(few, "clip has", "clips have")} fewer than {CopiesWanted} proven copies (the fewest: {least})");
        }

        int damaged = Clips.Count(clip => clip.Damage is not null);
        if (damaged > 0 && !damagedOk)
        {
            ClipOutcome first = Clips.First(clip => clip.Damage is not null);
            reasons.Add($"{Count(damaged, "recording is", "recordings are")} broken in itself, such as {first.Path} ({first.Damage}): look at it in the camera first");
        }

        if (MissingChapters.Count > 0 && !damagedOk)
        {
            reasons.Add($"{MissingChapters[0]}{(MissingChapters.Count > 1 ? FormattableString.Invariant($", and {MissingChapters.Count - 1} more such gaps") : "")}: look for it in the camera and on its other card first");
        }

        return new CardVerdict(reasons.Count == 0, reasons);
    }

    private static string Count(int number, string one, string many) => FormattableString.Invariant($"{number} {(number == 1 ? one : many)}");
}
