using System.Runtime.InteropServices;
using KitMesh.Domain;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal.Format;

namespace KitMesh.Sync.Journal;

/// <summary>What the journal knows of one origin: sequences, where they stand, forks and the chain.</summary>
/// <remarks>
/// The chain hash of a sequence depends on the forks of every sequence up to it. A fork that comes late therefore makes
/// all later chain values worthless; they are forgotten and worked out again from the last mark before the fork. So does
/// a loss: a value from before it stands for contents that are not here any more, and what comes in their place may be
/// something else.
/// </remarks>
internal sealed class OriginIndex(OriginId id)
{
    private readonly List<Run> _runs = [];
    private readonly List<ForkEntry> _forks = [];
    private readonly List<(ulong Sequence, Sha256Hash Hash)> _marks = [];
    private (ulong Sequence, Sha256Hash Hash) _oldestMark = (0, ReportChain.Seed(id));

    internal OriginId Id { get; } = id;

    /// <summary>Durable or given up: needs no sending.</summary>
    internal SequenceRanges Known { get; private set; } = SequenceRanges.Empty;

    /// <summary>Can be read back.</summary>
    internal SequenceRanges Kept { get; private set; } = SequenceRanges.Empty;

    internal ulong ChainSequence { get; private set; }

    internal Sha256Hash Chain { get; private set; } = ReportChain.Seed(id);

    internal IReadOnlyList<ForkEntry> Forks => _forks;

    /// <summary>Whether reports were found damaged since the journal was opened: if they are this node's own, a sequence could be given out twice.</summary>
    internal bool HasLost { get; private set; }

    internal OriginHolding ToHolding() => new(Id, Known, Kept, ChainSequence, Chain, [.. _forks.Select(fork => fork.Content)]);

    /// <summary>Takes over what a segment's beginning says was durable before it; only the oldest segment's counts as known.</summary>
    internal void TakeStanding(StandingOrigin standing, bool isOldest)
    {
        if (isOldest)
        {
            Known = Known.Union(standing.Ranges);
            _oldestMark = (standing.ChainSequence, standing.Chain);
        }

        Mark(standing.ChainSequence, standing.Chain);
    }

    /// <summary>
    /// Takes a durable frame in. After damage a frame can repeat what another still holds: the frame that was there first
    /// serves those sequences, so that no report is read back twice.
    /// </summary>
    internal void AddReports(Segment segment, in Frame frame)
    {
        SequenceRanges whole = SequenceRanges.Of(frame.FirstSequence, frame.LastSequence);
        foreach (SequenceRange range in whole.Except(Kept))
        {
            AddRun(segment, frame, range);
        }

        Known = Known.Union(whole);
        Kept = Kept.Union(whole);
    }

    private void AddRun(Segment segment, in Frame frame, SequenceRange range)
    {
        int at = FirstRunFrom(range.First);
        Run? before = at > 0 ? _runs[at - 1] : null;
        if (before is { IsFork: false } && before.Segment == segment && before.Last + 1 == range.First && frame.End - before.Offset <= Run.MaxBytes)
        {
            before.End = frame.End;
            before.Last = range.Last;
            return;
        }

        if (ChainSequence + 1 == range.First)
        {
            Mark(ChainSequence, Chain);
        }

        _runs.Insert(at, new Run(segment, frame.Offset) { End = frame.End, First = range.First, Last = range.Last });
    }

    internal void AddFork(ForkEntry fork)
    {
        int at = _forks.FindIndex(other => other.Content.CompareTo(fork.Content) > 0);
        _forks.Insert(at < 0 ? _forks.Count : at, fork);
        ForgetChainFrom(fork.Content.Sequence);
    }

    /// <summary>Forgets a fork's report that could not be read back; its chain then tells peers that something is missing.</summary>
    internal void LoseFork(ForkEntry fork)
    {
        if (_forks.Remove(fork))
        {
            HasLost = true;
            ForgetChainFrom(fork.Content.Sequence);
        }
    }

    /// <summary>Trusts no chain value but the one that stands for segments dropped before: damage was found.</summary>
    internal void ForgetMarks()
    {
        _marks.Clear();
        Mark(_oldestMark.Sequence, _oldestMark.Hash);
    }

    internal void Waive(SequenceRange range) => Known = Known.With(range);

    /// <summary>Moves the chain over a report that directly follows it; false when it does not.</summary>
    internal bool TryAdvance(ulong sequence, ReadOnlySpan<byte> report)
    {
        if (sequence != ChainSequence + 1)
        {
            return false;
        }

        Chain = Step(Chain, sequence, report);
        ChainSequence = sequence;
        return true;
    }

    internal Sha256Hash Step(Sha256Hash chain, ulong sequence, ReadOnlySpan<byte> report)
    {
        List<Sha256Hash> contents = _forks.Count == 0 ? [] : [.. _forks.Where(fork => fork.Content.Sequence == sequence).Select(fork => fork.Content.Hash)];
        if (contents.Count == 0)
        {
            return ReportChain.Next(chain, sequence, report);
        }

        contents.Add(Sha256Hash.Of(report));
        contents = [.. contents.Distinct().Order()];
        return contents.Count == 1
            ? ReportChain.Next(chain, sequence, report)
            : ReportChain.NextFork(chain, sequence, CollectionsMarshal.AsSpan(contents));
    }

    /// <summary>The last known chain value at or before a sequence.</summary>
    internal (ulong Sequence, Sha256Hash Hash) NearestMark(ulong sequence)
    {
        if (sequence >= ChainSequence)
        {
            return (ChainSequence, Chain);
        }

        for (int i = _marks.Count - 1; i >= 0; i--)
        {
            if (_marks[i].Sequence <= sequence)
            {
                return _marks[i];
            }
        }

        return (0, ReportChain.Seed(Id));
    }

    /// <summary>Sets the chain to the best mark inside the gapless run from 1, after everything was added.</summary>
    internal void RestartChain()
    {
        (ChainSequence, Chain) = (0, ReportChain.Seed(Id));
        foreach ((ulong sequence, Sha256Hash hash) in _marks)
        {
            if (sequence > ChainSequence && sequence <= Known.PrefixEnd)
            {
                (ChainSequence, Chain) = (sequence, hash);
            }
        }
    }

    internal IEnumerable<Run> RunsOver(SequenceRange range)
    {
        int from = Math.Max(0, FirstRunFrom(range.First) - 1);
        for (int i = from; i < _runs.Count && _runs[i].First <= range.Last; i++)
        {
            if (_runs[i].Last >= range.First)
            {
                yield return _runs[i];
            }
        }
    }

    /// <summary>Forgets what of a run could not be read back: peers will send it again.</summary>
    /// <param name="run">The run.</param>
    /// <param name="served">What of it could be read.</param>
    internal void Lose(Run run, SequenceRanges served)
    {
        int at = _runs.IndexOf(run);
        if (at < 0)
        {
            return;
        }

        _runs.RemoveAt(at);
        _runs.InsertRange(at, served.Select(range => new Run(run.Segment, run.Offset) { End = run.End, First = range.First, Last = range.Last, IsFork = run.IsFork }));
        SequenceRanges lost = SequenceRanges.Of(run.Range).Except(served);
        Known = Known.Except(lost);
        Kept = Kept.Except(lost);
        if (!lost.IsEmpty)
        {
            HasLost = true;
            ForgetChainFrom(lost[0].First);
            PromoteForks();
        }
    }

    /// <summary>Where a sequence has lost its first content and a fork of it is here, that one is what is held: else peers would never be told of it.</summary>
    internal void PromoteForks()
    {
        foreach (ForkEntry fork in _forks.Where(fork => !Known.Contains(fork.Content.Sequence)).DistinctBy(fork => fork.Content.Sequence).ToArray())
        {
            ulong sequence = fork.Content.Sequence;
            _forks.Remove(fork);
            _runs.Insert(FirstRunFrom(sequence), new Run(fork.Segment, fork.Offset) { End = fork.End, First = sequence, Last = sequence, IsFork = true });
            Known = Known.With(new SequenceRange(sequence, sequence));
            Kept = Kept.With(new SequenceRange(sequence, sequence));
            ForgetChainFrom(sequence);
        }
    }

    /// <summary>Forgets where reports of a dropped segment stood; they stay known.</summary>
    internal void Drop(Segment segment)
    {
        foreach (Run run in _runs.Where(run => run.Segment == segment))
        {
            Kept = Kept.Except(SequenceRanges.Of(run.Range));
        }

        _runs.RemoveAll(run => run.Segment == segment);
        _forks.RemoveAll(fork => fork.Segment == segment);
    }

    private void ForgetChainFrom(ulong sequence)
    {
        _marks.RemoveAll(mark => mark.Sequence >= sequence);
        if (ChainSequence >= sequence)
        {
            (ChainSequence, Chain) = NearestMark(sequence - 1);
        }
    }

    private void Mark(ulong sequence, Sha256Hash hash)
    {
        int at = _marks.Count;
        while (at > 0 && _marks[at - 1].Sequence >= sequence)
        {
            at--;
        }

        if (sequence > 0 && (at == _marks.Count || _marks[at].Sequence != sequence))
        {
            _marks.Insert(at, (sequence, hash));
        }
    }

    private int FirstRunFrom(ulong sequence)
    {
        int low = 0;
        int high = _runs.Count;
        while (low < high)
        {
            int middle = (low + high) / 2;
            if (_runs[middle].First < sequence)
            {
                low = middle + 1;
            }
            else
            {
                high = middle;
            }
        }

        return low;
    }
}
