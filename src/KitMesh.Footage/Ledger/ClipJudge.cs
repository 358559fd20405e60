using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;

namespace KitMesh.Footage.Ledger;

/// <summary>
/// Says what each copy of one clip is worth. The one place that decides what proof is.
/// </summary>
/// <remarks>
/// <para>A reading proves a copy when its bytes came from the medium (<see cref="ReadBackLevel.CacheDropped"/> or better:
/// a reading through the page cache says nothing about the medium), it found as many bytes as the clip has, it is not
/// older than the clip, its writer had the right, and the label still stands for the drive that was read. A proof that is
/// older than the rule allows, or followed by a failed reading, counts no more.</para>
/// <para>Trap: which came later, the proof or the failure? Inside one origin its journal tells, whatever its clock did;
/// across origins the re-timed time does. A failure dated before its clip existed or after now comes from a wrong clock;
/// it counts as later than every proof of another origin, because believing it costs a recheck and not believing it can
/// cost the clip.</para>
/// </remarks>
/// <param name="facts">The facts.</param>
/// <param name="moment">The moment.</param>
/// <param name="drives">Every drive at that moment, by the number of its name.</param>
/// <param name="rights">Whose word counts.</param>
/// <param name="extent">How far the tables had grown when the snapshot was taken; later rows are not looked at.</param>
internal sealed class ClipJudge(
    LedgerFacts facts,
    Moment moment,
    DriveView?[] drives,
    TripWriters rights,
    FactsExtent extent)
{
    private readonly bool _everyWriter = rights.TrustsEveryStation;
    private int[] _rows = new int[16];
    private CopyJudgement[] _copies = new CopyJudgement[8];

    /// <summary>The copies of the clip that was judged last, by drive and path.</summary>
    public ReadOnlySpan<CopyJudgement> Copies => _copies.AsSpan(0, Count);

    private int Count { get; set; }

    /// <summary>What the sightings agree on; false when there was none yet at the moment.</summary>
    public bool TryReadClip(int clip, out ClipFacts read)
    {
        read = new ClipFacts { Clip = clip, Sighting = -1, Size = -1, SizeIsOdd = true };
        for (int row = facts.FirstSighting(clip); row >= 0; row = facts.Sightings[row].NextOfClip)
        {
            ref Sighting sighting = ref facts.Sightings[row];
            if (row >= extent.Sightings || !moment.Heeds(sighting.Stamp.Ticks))
            {
                continue;
            }

            if (read.Sighting < 0 || facts.Compare(sighting.Stamp, facts.Sightings[read.Sighting].Stamp) < 0)
            {
                read.Sighting = row;
                read.FirstTicks = sighting.Stamp.Ticks;
            }

            if (sighting.Size < 0)
            {
                continue;
            }

            read.SizeIsOdd = read.Size >= 0 && (read.SizeIsOdd || read.Size != sighting.Size);
            read.Size = Math.Max(read.Size, sighting.Size);
        }

        return read.Sighting >= 0;
    }

    public void Judge(in ClipFacts clip, RuleInForce rule)
    {
        int rows = CollectEvents(clip.Clip);
        Count = 0;
        for (int from = 0; from < rows;)
        {
            ref CopyEvent first = ref facts.Events[_rows[from]];
            int to = from + 1;
            while (to < rows && facts.Events[_rows[to]].Drive == first.Drive && facts.Events[_rows[to]].Path == first.Path)
            {
                to++;
            }

            if (Count == _copies.Length)
            {
                Array.Resize(ref _copies, Count * 2);
            }

            if (TryJudgeCopy(clip, rule, _rows.AsSpan(from, to - from), out CopyJudgement copy))
            {
                _copies[Count++] = copy;
            }

            from = to;
        }
    }

    private int CollectEvents(int clip)
    {
        int rows = 0;
        for (int row = facts.FirstEvent(clip); row >= 0; row = facts.Events[row].NextOfClip)
        {
            if (row >= extent.Events || !moment.Heeds(facts.Events[row].Stamp.Ticks))
            {
                continue;
            }

            if (rows == _rows.Length)
            {
                Array.Resize(ref _rows, rows * 2);
            }

            // Few events a clip: insertion sort by drive and path.
            int at = rows++;
            while (at > 0 && ComparePlace(row, _rows[at - 1]) < 0)
            {
                _rows[at] = _rows[at - 1];
                at--;
            }

            _rows[at] = row;
        }

        return rows;
    }

    private int ComparePlace(int leftRow, int rightRow)
    {
        ref CopyEvent left = ref facts.Events[leftRow];
        ref CopyEvent right = ref facts.Events[rightRow];
        if (left.Drive != right.Drive)
        {
            return drives[left.Drive]!.Rank.CompareTo(drives[right.Drive]!.Rank);
        }

        return left.Path == right.Path ? 0 : string.CompareOrdinal(facts.Paths[left.Path], facts.Paths[right.Path]);
    }

    private bool TryJudgeCopy(in ClipFacts clip, RuleInForce rule, ReadOnlySpan<int> rows, out CopyJudgement copy)
    {
        ref CopyEvent first = ref facts.Events[rows[0]];
        copy = new CopyJudgement
        {
            Drive = drives[first.Drive]!,
            Path = first.Path,
            ProvenTicks = Sighting.Untold,
            MadeTicks = long.MaxValue,
        };
        int proof = -1;
        int tried = -1;
        int said = -1;
        foreach (int row in rows)
        {
            ref CopyEvent report = ref facts.Events[row];
            if (report.Kind == CopyEventKind.Failed)
            {
                continue;
            }

            copy.MadeTicks = Math.Min(copy.MadeTicks, report.Stamp.Ticks);
            said = Later(said, row);
            if (report.Kind != CopyEventKind.Verified)
            {
                continue;
            }

            if (FaultOf(report, clip, copy.Drive) == CopyDoubt.None)
            {
                proof = Later(proof, row);
            }
            else
            {
                tried = Later(tried, row);
            }
        }

        return proof >= 0
            ? JudgeProof(rule, rows, clip, proof, ref copy)
            : JudgeWithoutProof(rows, clip, tried, said, ref copy);
    }

    private bool JudgeProof(RuleInForce rule, ReadOnlySpan<int> rows, in ClipFacts clip, int proof, ref CopyJudgement copy)
    {
        CopyDoubt? disproof = Disproof(rows, clip, facts.Events[proof].Stamp, copy);
        if (disproof is not null && LatestUndisproven(rows, clip, copy) is { } better)
        {
            proof = better;
            disproof = null;
        }

        ref CopyEvent proven = ref facts.Events[proof];
        copy.Size = proven.Size;
        copy.ProvenTicks = proven.Stamp.Ticks;
        copy.Level = proven.Level;
        (copy.Standing, copy.Doubt) = disproof is { } failure ? (CopyStanding.Lost, failure)
            : copy.Drive.IsWithdrawn ? (CopyStanding.DriveInDoubt, CopyDoubt.Withdrawn)
            : copy.Drive.SharedWith is not null ? (CopyStanding.DriveInDoubt, CopyDoubt.SharedIdentity)
            : moment.Ticks - proven.Stamp.Ticks > rule.AgeTicks ? (CopyStanding.Overdue, CopyDoubt.Overdue)
            : (CopyStanding.Proven, CopyDoubt.None);
        return true;
    }

    /// <summary>A proof after which no failure came; the latest by time is not always the last in its origin's journal.</summary>
    private int? LatestUndisproven(ReadOnlySpan<int> rows, in ClipFacts clip, in CopyJudgement copy)
    {
        int best = -1;
        foreach (int row in rows)
        {
            ref CopyEvent report = ref facts.Events[row];
            if (report.Kind == CopyEventKind.Verified
                && FaultOf(report, clip, copy.Drive) == CopyDoubt.None
                && Disproof(rows, clip, report.Stamp, copy) is null)
            {
                best = Later(best, row);
            }
        }

        return best >= 0 ? best : null;
    }

    private bool JudgeWithoutProof(ReadOnlySpan<int> rows, in ClipFacts clip, int tried, int said, ref CopyJudgement copy)
    {
        if (said < 0)
        {
            // Only failures: there never was a copy here.
            return false;
        }

        ref CopyEvent last = ref facts.Events[tried >= 0 ? tried : said];
        copy.Size = last.Size;
        copy.Doubt = tried >= 0 ? FaultOf(last, clip, copy.Drive) : CopyDoubt.NeverReadBack;
        copy.Standing = copy.Doubt switch
        {
            CopyDoubt.NeverReadBack or CopyDoubt.OnlyCached => CopyStanding.Made,
            CopyDoubt.OtherDrive => CopyStanding.DriveInDoubt,
            _ => CopyStanding.Odd,
        };
        if (copy.Standing == CopyStanding.Odd)
        {
            copy.OddStamp = last.Stamp;
        }

        if (copy.Doubt == CopyDoubt.OtherDrive)
        {
            copy.ProvenTicks = last.Stamp.Ticks;
            copy.Level = last.Level;
        }
        else if (Disproof(rows, clip, facts.Events[said].Stamp, copy) is { } failure)
        {
            copy.Standing = CopyStanding.Lost;
            copy.Doubt = failure;
        }

        return true;
    }

    /// <summary>What keeps one reading from being proof.</summary>
    private CopyDoubt FaultOf(in CopyEvent report, in ClipFacts clip, DriveView drive) =>
        clip.SizeIsOdd ? CopyDoubt.ClipSizeOdd
        : report.Size != clip.Size ? CopyDoubt.SizeDiffers
        : report.Stamp.Ticks < clip.FirstTicks ? CopyDoubt.BeforeClip
        : !moment.Trusts(report.Stamp.Ticks) ? CopyDoubt.InFuture
        : !_everyWriter && !rights.MayProve(facts.Key(report.Stamp)) ? (rights.IsAttested(facts.Key(report.Stamp)) ? CopyDoubt.NoRight : CopyDoubt.NotAttested)
        : report.Level < ReadBackLevel.CacheDropped ? CopyDoubt.OnlyCached
        : !drive.IsSameDrive(report.Stamp) ? CopyDoubt.OtherDrive
        : CopyDoubt.None;

    /// <summary>The latest failure that counts against a proof; null when none does.</summary>
    private CopyDoubt? Disproof(ReadOnlySpan<int> rows, in ClipFacts clip, in PackedStamp proof, in CopyJudgement copy)
    {
        (PackedStamp Stamp, CopyFailure Failure)? latest = null;
        foreach (int row in rows)
        {
            ref CopyEvent report = ref facts.Events[row];
            if (report.Kind == CopyEventKind.Failed)
            {
                Offer(ref latest, report.Stamp, report.Failure, proof, clip.FirstTicks);
            }
        }

        if (copy.Drive.HasNamelessFailures)
        {
            foreach ((PackedStamp stamp, CopyFailed failed) in copy.Drive.NamelessFailures(facts.Paths[copy.Path]))
            {
                if (moment.Heeds(stamp.Ticks))
                {
                    Offer(ref latest, stamp, failed.Failure, proof, clip.FirstTicks);
                }
            }
        }

        return latest is { } found ? Doubt(found.Failure) : null;
    }

    private void Offer(ref (PackedStamp Stamp, CopyFailure Failure)? latest, in PackedStamp stamp, CopyFailure failure, in PackedStamp proof, long clipTicks)
    {
        if (CopyEvent.Disproves(failure)
            && Overrules(stamp, proof, clipTicks)
            && (latest is not { } best || facts.Compare(stamp, best.Stamp) > 0))
        {
            latest = (stamp, failure);
        }
    }

    private bool Overrules(in PackedStamp failure, in PackedStamp proof, long clipTicks)
    {
        bool wrongClock = failure.Ticks < clipTicks || !moment.Trusts(failure.Ticks);
        return wrongClock && failure.Origin != proof.Origin || !LedgerFacts.Precedes(failure, proof);
    }

    private static CopyDoubt Doubt(CopyFailure failure) => failure switch
    {
        CopyFailure.ReadBackFailed => CopyDoubt.ReadBackFailed,
        CopyFailure.HashDiffers => CopyDoubt.HashDiffers,
        CopyFailure.Missing => CopyDoubt.Missing,
        _ => CopyDoubt.FailedUnknown,
    };

    private int Later(int best, int row) =>
        best < 0 || facts.Compare(facts.Events[row].Stamp, facts.Events[best].Stamp) > 0 ? row : best;
}
