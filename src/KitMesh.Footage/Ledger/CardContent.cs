using KitMesh.Domain.Reports;

namespace KitMesh.Footage.Ledger;

/// <summary>What is on a card now and what was on it, from its visits and formats.</summary>
/// <remarks>
/// <para>Formatting happens in the camera, unseen. A report that a card was formatted tells up to which visit its clips are
/// gone; a later visit that found every file of the card, and not the earlier clips, tells it too. Only a visit whose
/// sightings are as many as the files that the station counted is believed to be complete: a station that resumes may
/// report only what is new.</para>
/// </remarks>
internal sealed class CardContent
{
    private readonly LedgerFacts _facts;
    private readonly Moment _moment;
    private readonly TripWriters _rights;
    private readonly CardFacts _card;
    private readonly List<CardVisit> _visits;
    private int _goneVisits;

    public CardContent(LedgerFacts facts, Moment moment, TripWriters rights, CardFacts card)
    {
        _facts = facts;
        _moment = moment;
        _rights = rights;
        _card = card;
        _visits = [.. card.Visits.Values
            .Where(visit => moment.Heeds(visit.FirstTicks))
            .OrderBy(visit => visit.FirstTicks)
            .ThenBy(visit => visit.Insertion)];
        ApplyFormats();
        ReadVisits();
    }

    /// <summary>The latest visit; null when no station ever read the card.</summary>
    public CardVisit? Latest => _visits.Count > 0 ? _visits[^1] : null;

    /// <summary>Clips on it, with the row of a sighting on this card.</summary>
    public Dictionary<int, int> OnCard { get; } = [];

    /// <summary>Clips that were on it and are no longer.</summary>
    public Dictionary<int, int> Gone { get; } = [];

    /// <summary>Clips among <see cref="Gone"/> that went while others of their visit stayed.</summary>
    public HashSet<int> Deleted { get; } = [];

    /// <summary>When it was formatted, or found so; null when it was not since its latest clips.</summary>
    public long? FormattedTicks { get; private set; }

    /// <summary>Files that the station counted and nobody has read yet.</summary>
    public int FilesUnread { get; private set; }

    /// <summary>
    /// Whether the latest visit's count of files has not come, from a station whose word counts: clips of it are known, how many more there are is not. That
    /// happens when a hub holds a later part of a station's reports without the earlier one.
    /// </summary>
    public bool IsUncounted { get; private set; }

    /// <summary>Files that the station counted at the latest visit.</summary>
    public int Files { get; private set; }

    /// <summary>Place of a visit in time; -1 when it is not known.</summary>
    public int Order(KitId insertion) => _visits.FindIndex(visit => visit.Insertion == insertion);

    public int Order(CardVisit visit) => _visits.IndexOf(visit);

    /// <summary>Paths on it that could not be read, or changed meanwhile, and were not read well afterwards.</summary>
    public List<(PackedStamp Stamp, CopyFailed Fact)> StandingFaults()
    {
        List<(PackedStamp, CopyFailed)> standing = [];
        foreach ((PackedStamp stamp, CopyFailed fault) in _card.Faults)
        {
            // A fault of a visit whose content is gone is history; an undated one stands until its path is read.
            if (!_moment.Heeds(stamp.Ticks) || (_goneVisits > 0 && _goneVisits < _visits.Count && stamp.Ticks < _visits[_goneVisits].FirstTicks))
            {
                continue;
            }

            if (_goneVisits == _visits.Count && _visits.Count > 0)
            {
                continue;
            }

            if (!WasReadAfter(stamp, fault.Path))
            {
                standing.Add((stamp, fault));
            }
        }

        return standing;
    }

    private void ApplyFormats()
    {
        foreach ((PackedStamp stamp, CardFormatted format) in _card.Formats)
        {
            if (!_moment.Heeds(stamp.Ticks))
            {
                continue;
            }

            int covered = format.LastInsertion is { } last
                ? Order(last) + 1
                : _moment.Trusts(stamp.Ticks) ? _visits.Count(visit => visit.FirstTicks < stamp.Ticks) : 0;
            if (covered > _goneVisits || (covered == _goneVisits && covered > 0 && stamp.Ticks < FormattedTicks))
            {
                _goneVisits = covered;
                FormattedTicks = stamp.Ticks;
            }
        }
    }

    private void ReadVisits()
    {
        if (_visits.Count == 0)
        {
            return;
        }

        int? counted = LatestFiles(_visits[^1]);
        Files = counted ?? 0;
        HashSet<int> pathsNow = [];
        HashSet<int> pathsOfLatest = [];
        Dictionary<int, int> latest = [];
        for (int order = 0; order < _visits.Count; order++)
        {
            bool isGone = order < _goneVisits;
            bool isLatest = order == _visits.Count - 1;
            foreach (int row in Rows(_visits[order]))
            {
                ref Sighting sighting = ref _facts.Sightings[row];
                KeepEarliest(isGone ? Gone : OnCard, sighting.Clip, row);

                // A report with an impossible size is no sign that the file was read.
                if (!isGone && sighting.Size >= 0)
                {
                    pathsNow.Add(sighting.Path);
                }

                if (isLatest && !isGone)
                {
                    latest[sighting.Clip] = row;
                    if (sighting.Size >= 0)
                    {
                        pathsOfLatest.Add(sighting.Path);
                    }
                }
            }
        }

        bool latestIsCurrent = _goneVisits < _visits.Count;
        IsUncounted = latestIsCurrent && counted is null;
        FilesUnread = latestIsCurrent ? Math.Max(0, Files - pathsNow.Count) : 0;
        if (latestIsCurrent && counted is not null && pathsOfLatest.Count == Files && Files >= 0)
        {
            MoveMissingToGone(latest);
        }

        foreach (int clip in OnCard.Keys)
        {
            Gone.Remove(clip);
        }
    }

    private void KeepEarliest(Dictionary<int, int> rows, int clip, int row)
    {
        ref int kept = ref System.Runtime.InteropServices.CollectionsMarshal.GetValueRefOrAddDefault(rows, clip, out bool known);
        if (!known || _facts.Compare(_facts.Sightings[row].Stamp, _facts.Sightings[kept].Stamp) < 0)
        {
            kept = row;
        }
    }

    private void MoveMissingToGone(Dictionary<int, int> latest)
    {
        List<int> missing = [.. OnCard.Keys.Where(clip => !latest.ContainsKey(clip))];
        bool wholeCard = missing.Count == OnCard.Count;
        foreach (int clip in missing)
        {
            Gone[clip] = OnCard[clip];
            OnCard.Remove(clip);
            if (latest.Count > 0)
            {
                Deleted.Add(clip);
            }
        }

        if (missing.Count > 0 && wholeCard)
        {
            FormattedTicks = _visits[^1].FirstTicks;
        }
    }

    private IEnumerable<int> Rows(CardVisit visit)
    {
        for (int row = visit.FirstSighting; row >= 0; row = _facts.Sightings[row].NextInVisit)
        {
            if (_moment.Heeds(_facts.Sightings[row].Stamp.Ticks))
            {
                yield return row;
            }
        }
    }

    private bool WasReadAfter(in PackedStamp fault, string path)
    {
        int number = _facts.Paths.Find(path);
        if (number < 0)
        {
            return false;
        }

        foreach (CardVisit visit in _visits)
        {
            foreach (int row in Rows(visit))
            {
                if (_facts.Sightings[row].Path == number && LedgerFacts.Precedes(fault, _facts.Sightings[row].Stamp))
                {
                    return true;
                }
            }
        }

        return false;
    }

    /// <summary>The latest count by somebody whose word counts: what strangers saw takes nothing away from a card.</summary>
    private int? LatestFiles(CardVisit visit)
    {
        (PackedStamp Stamp, CardSeen Fact)? latest = null;
        foreach ((PackedStamp Stamp, CardSeen Fact) seen in visit.Seen)
        {
            if (_moment.Heeds(seen.Stamp.Ticks)
                && _rights.MayProve(_facts.Key(seen.Stamp))
                && (latest is not { } best || _facts.Compare(seen.Stamp, best.Stamp) > 0))
            {
                latest = seen;
            }
        }

        return latest?.Fact.Files;
    }
}
