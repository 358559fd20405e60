using KitMesh.Alerts.Inputs;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Footage.Ledger;
using KitMesh.Hub.Ingest;
using KitMesh.Protocol.Reports;
using KitMesh.Storage;
using KitMesh.Storage.Queries;
using NodaTime;

namespace KitMesh.Hub.Views;

/// <summary>Which failed copies still matter: those without a later proof on the same drive.</summary>
internal sealed class FailedCopies(StoreKeeper keeper)
{
    private const int Most = 500;

    /// <summary>The newest failed copies that have not been made good.</summary>
    public async Task<IReadOnlyList<FailedCopy>> FindAsync(LedgerSnapshot ledger, CancellationToken cancellation)
    {
        ReportPage page;
        try
        {
            page = await keeper.Store.ReadAsync(new ReportQuery(Kinds: [ReportKind.CopyFailed], Limit: Most, NewestFirst: true), cancellation).ConfigureAwait(false);
        }
        catch (StoreFaultedException)
        {
            // While the store is rebuilt the other rules still judge; this one catches up at the next step.
            return [];
        }

        return Among(page.Reports.Select(kept => (ReportCodec.Decode(kept.Raw).Body as CopyFailed, kept.Time)).Where(one => one.Item1 is not null).Select(one => (one.Item1!, one.Time)), ledger);
    }

    /// <summary>Those of some failed copies that have not been made good.</summary>
    /// <param name="newestFirst">Failed copies with their times, newest first; at most 500 are looked at.</param>
    /// <param name="ledger">The ledger.</param>
    public static IReadOnlyList<FailedCopy> Among(IEnumerable<(CopyFailed Body, Instant Time)> newestFirst, LedgerSnapshot ledger)
    {
        var found = new List<FailedCopy>();
        var seen = new HashSet<(ClipHash? Clip, KitId? Drive)>();
        foreach ((CopyFailed failed, Instant time) in newestFirst.Take(Most))
        {
            if (seen.Add((failed.Clip, failed.Drive)) && Standing(ledger, failed, time) is { } good)
            {
                found.Add(new FailedCopy(failed, time, good));
            }
        }

        return found;
    }

    /// <summary>How many good copies are left elsewhere; null when the copy was made good since.</summary>
    private static int? Standing(LedgerSnapshot ledger, CopyFailed failed, Instant at)
    {
        if (failed.Clip is not { } hash || ledger.Find(hash) is not { } clip)
        {
            return IsMadeGoodUnhashed(ledger, failed, at) ? null : GoodCopiesAt(ledger, failed);
        }

        // A day that might be cleared from a station's own disk was cleared: no failure.
        bool cleared = failed.Failure == CopyFailure.Missing
            && clip.MeetsRule
            && ledger.Drives.Any(drive => drive.Drive == failed.Drive && drive.Intermediate);
        bool madeGood = cleared || clip.Copies.Any(copy => copy.Drive == failed.Drive && copy.Standing == CopyStanding.Proven && copy.LastProven > at);

        // An overdue copy releases no card, but it is a copy: nobody must read that nothing is left.
        return madeGood ? null : clip.Copies.Count(copy => copy.Standing is CopyStanding.Proven or CopyStanding.Overdue);
    }

    /// <summary>Good copies of what should have come to this path: on all drives a card's file lies at the same path.</summary>
    private static int GoodCopiesAt(LedgerSnapshot ledger, CopyFailed failed) => ledger
        .View(new LedgerQuery(Card: failed.Card, Limit: LedgerQuery.MaxLimit))
        .Clips
        .Where(clip => clip.Copies.Any(copy => copy.Path == failed.Path))
        .Select(clip => clip.Copies.Count(copy => copy.Standing is CopyStanding.Proven or CopyStanding.Overdue))
        .DefaultIfEmpty(0)
        .Max();

    /// <summary>
    /// Whether a failure that came before the clip was hashed (a drive that refuses everything, a card that went away) was
    /// made good: a copy at the same path on that drive was proven since, or the card was read whole at a later visit.
    /// </summary>
    private static bool IsMadeGoodUnhashed(LedgerSnapshot ledger, CopyFailed failed, Instant at)
    {
        if (failed.Drive is { } drive)
        {
            return ledger
                .View(new LedgerQuery(Drive: drive, Limit: LedgerQuery.MaxLimit))
                .Clips
                .SelectMany(clip => clip.Copies)
                .Any(copy => copy.Drive == drive && copy.Path == failed.Path && copy.Standing == CopyStanding.Proven && copy.LastProven > at);
        }

        return ledger.Cards.Any(card => card.Card == failed.Card && card.LastSeen > at && (card.State is CardState.MayBeFormatted or CardState.Formatted));
    }
}
