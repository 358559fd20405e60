using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Footage.Ledger;

/// <summary>
/// Says of each card whether it may be formatted.
/// </summary>
/// <remarks>
/// A card may be formatted when every clip on it meets its copy rule, a station whose word counts told how many files are
/// on it, each of them was read, and none failed to read. A keeper's release covers the clips that were found up to then, and only those. It is
/// shown for ever.
/// </remarks>
internal sealed class CardJudge(
    LedgerFacts facts,
    Moment moment,
    TripWriters rights,
    KitView kit,
    IReadOnlyList<SourceView> sources,
    ClipEntry[] entries,
    int[] positions,
    OddityList oddities)
{
    /// <summary>For each clip position, a card on hold that still has it; -1 without one. A card that may be formatted may be empty tomorrow.</summary>
    public int[] HeldByCard { get; } = [.. Enumerable.Repeat(-1, entries.Length)];

    /// <summary>The clip positions that each card on hold still has.</summary>
    public Dictionary<KitId, HashSet<int>> HeldContents { get; } = [];

    public ValueList<CardRow> Rows(IReadOnlyList<KitId> cards, IReadOnlyList<KitId?> sourceOfVisit) => cards
        .Select((card, number) => Row(facts.Cards[card], number, sourceOfVisit))
        .OfType<CardRow>()
        .OrderBy(row => Rank(row.State))
        .ThenBy(row => row.Card)
        .ToValueList();

    private static int Rank(CardState state) => state switch
    {
        CardState.OnHold => 0,
        CardState.FormattedShort => 1,
        CardState.MayBeFormatted => 2,
        CardState.Formatted => 3,
        _ => 4,
    };

    private CardRow? Row(CardFacts card, int number, IReadOnlyList<KitId?> sourceOfVisit)
    {
        var content = new CardContent(facts, moment, rights, card);
        Card? declared = kit.Find<Card>(KitKind.Card, card.Card);
        if (content.Latest is null && declared is null)
        {
            return null;
        }

        KitId? source = content.Latest is { } visit ? sourceOfVisit[visit.Index] ?? SourceOfClips(content) : declared?.Source;
        RuleInForce rule = kit.RuleFor(source);
        var count = new CardCount(facts, entries, positions, content, Release(card, content));
        NoteDeleted(card.Card, content, count);
        CardState state = State(content, count);
        if (state == CardState.OnHold)
        {
            HeldContents.Add(card.Card, [.. content.OnCard.Keys.Select(clip => positions[clip])]);
            foreach (int clip in content.OnCard.Keys)
            {
                HeldByCard[positions[clip]] = number;
            }
        }

        long? holdSince = state == CardState.OnHold ? HoldSince(content, count) : null;
        bool isGone = state is CardState.Formatted or CardState.FormattedShort;
        return new CardRow(
            card.Card,
            state,
            new CardWords(facts, sources, entries, positions).Reason(state, content, count),
            source,
            source is { } name ? kit.Find<FootageSource>(KitKind.FootageSource, name)?.Team : null,
            rule.Id,
            content.Latest?.Insertion,
            content.Latest is { } latest ? Instant.FromUnixTimeTicks(latest.FirstTicks) : null,
            isGone ? content.Gone.Count : content.OnCard.Count,
            new ByteCount(Size(isGone ? content.Gone : content.OnCard)),
            isGone ? content.Gone.Count - count.GoneShort.Count : content.OnCard.Count - count.Short.Count - count.GivenUp.Count,
            isGone ? count.LeastGoneCopies : count.LeastCopies,
            count.GoneShort.Count,
            holdSince is { } since ? Instant.FromUnixTimeTicks(since) : null,
            holdSince is { } from ? Evening(from, rule) : null,
            content.FormattedTicks is { } formatted ? Instant.FromUnixTimeTicks(formatted) : null,
            count.Release?.Words);
    }

    private static CardState State(CardContent content, CardCount count)
    {
        if (content.Latest is null)
        {
            return CardState.NotSeen;
        }

        if (content.OnCard.Count == 0 && content.Gone.Count > 0 && content.FilesUnread == 0 && !content.IsUncounted)
        {
            return count.GoneShort.Count > 0 ? CardState.FormattedShort : CardState.Formatted;
        }

        bool isHeld = count.Short.Count > 0 || content.FilesUnread > 0 || content.IsUncounted || count.Faults.Count > 0;
        return isHeld ? CardState.OnHold : CardState.MayBeFormatted;
    }

    private KeeperRelease? Release(CardFacts card, CardContent content)
    {
        KeeperRelease? latest = null;
        foreach ((PackedStamp stamp, CardReleased fact) in card.Releases)
        {
            if (!moment.Trusts(stamp.Ticks))
            {
                continue;
            }

            int order = content.Order(fact.Insertion);
            if (!rights.MayRelease(facts.Key(stamp)) || order < 0)
            {
                oddities.Add(stamp, card.Card, null, () => order < 0
                    ? $"{fact.Author} released {card.Card} for a visit ({fact.Insertion}) that no station reported: it releases nothing"
                    : $"{fact.Author} released {card.Card} without a keeper's right: it releases nothing");
                continue;
            }

            if (latest is null || facts.Compare(stamp, latest.Stamp) > 0)
            {
                latest = new KeeperRelease(stamp, order, fact, kit.ZoneOffset);
            }
        }

        return latest;
    }

    private void NoteDeleted(KitId card, CardContent content, CardCount count)
    {
        foreach (int clip in content.Deleted)
        {
            if (count.GoneShort.Contains(clip))
            {
                var hash = new ClipHash(facts.Clips[clip]);
                string path = facts.Paths[facts.Sightings[content.Gone[clip]].Path];
                int copies = entries[positions[clip]].Proof.Copies;
                oddities.Add(facts.Sightings[content.Gone[clip]].Stamp, card, hash, () =>
                    $"{path} was on {card} and is no longer, though the card was not formatted: deleted by hand with {copies} proven copies");
            }
        }
    }

    private KitId? SourceOfClips(CardContent content)
    {
        KitId? least = null;
        foreach (int row in content.OnCard.Values.Concat(content.Gone.Values))
        {
            if (facts.Sightings[row].Source is >= 0 and int number && (least is not { } best || facts.Names[number].CompareTo(best) < 0))
            {
                least = facts.Names[number];
            }
        }

        return least;
    }

    private long Size(Dictionary<int, int> clips)
    {
        long size = 0;
        foreach (int clip in clips.Keys)
        {
            size += Math.Max(0, entries[positions[clip]].Facts.Size);
        }

        return size;
    }

    private long HoldSince(CardContent content, CardCount count)
    {
        long since = long.MaxValue;
        foreach (int clip in count.Short)
        {
            since = Math.Min(since, entries[positions[clip]].Facts.FirstTicks);
        }

        foreach ((PackedStamp stamp, _) in count.Faults)
        {
            since = Math.Min(since, stamp.Ticks);
        }

        return since == long.MaxValue ? content.Latest!.FirstTicks : since;
    }

    private Instant Evening(long sinceTicks, RuleInForce rule)
    {
        OffsetDateTime since = Instant.FromUnixTimeTicks(sinceTicks).WithOffset(kit.ZoneOffset);
        LocalDateTime evening = since.Date.At(new LocalTime(rule.EveningHour, 0));
        if (evening <= since.LocalDateTime)
        {
            evening = evening.PlusDays(1);
        }

        return evening.WithOffset(kit.ZoneOffset).ToInstant();
    }
}
