using System.Collections.Immutable;
using KitMesh.Domain;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal;

namespace KitMesh.Sync.Seals;

/// <summary>The seals of one origin, and what this hub took of it directly.</summary>
internal sealed class OriginSeals(OriginId origin)
{
    /// <summary>Seals kept of one origin; an agent that seals twice a session fills this in years.</summary>
    private const int MostSeals = 65_536;

    private const int MostWrong = 1_024;
    private const int MostTaken = 65_536;
    private const int LongestTaken = 4_096;

    /// <summary>Signed values from which the way to the next one is tried: one node that wrote two histories has signed both.</summary>
    private const int MostStarts = 4;

    private readonly SortedSet<(ulong Sequence, Sha256Hash Chain)> _good = [];
    private readonly Dictionary<((ulong, Sha256Hash) From, (ulong, Sha256Hash) To), SealWalk.End> _walked = [];
    private readonly Dictionary<(ReportKey By, TakenDirectly Taken), bool> _taken = [];
    private List<OriginSealed> _unjudged = [];
    private List<OriginSealed> _wrong = [];
    private List<OriginSealed> _all = [];
    private ImmutableHashSet<ulong> _forked = [];
    private int _keys = -1;
    private int _forks;

    public void Add(OriginSealed seal)
    {
        if (seal.Sequence is > 0 and < ulong.MaxValue && _all.Count < MostSeals)
        {
            _all.Add(seal);
            _unjudged.Add(seal);
        }
    }

    public void Add(ReportKey by, TakenDirectly taken)
    {
        if (_taken.Count < MostTaken && SequenceRange.IsValid(taken.First, taken.Last) && taken.Last - taken.First < LongestTaken)
        {
            _taken.TryAdd((by, taken), false);
        }
    }

    /// <summary>Judges everything that is known of the origin.</summary>
    public Attested Judge(IJournalView journal, ISealKeys keys, Func<ReportKey, bool> isOwnWord, List<SealFault> faults)
    {
        OriginHolding? holding = journal.Have(origin);
        // Once forked, always forked: a disk can lose one of the contents, and then it may be the wrong one that was believed.
        _forked = _forked.Union((holding?.Forks ?? []).Select(fork => fork.Sequence));
        int forks = holding?.Forks.Count ?? 0;
        if (forks != _forks)
        {
            // More ways through: what fitted fits, unless there are too many now, and what did not may.
            _forks = forks;
            _walked.Clear();
            foreach ((ReportKey, TakenDirectly) known in _taken.Keys.ToArray())
            {
                _taken[known] = false;
            }
        }

        Verify(keys);
        faults.AddRange(_wrong.Select(seal => new SealFault(origin, 1, seal.Sequence, WrongSignature: true)).DistinctBy(fault => fault.Last).Take(1));
        return new Attested(Walk(journal, faults), Take(journal, isOwnWord), _forked);
    }

    /// <summary>Whether the keys of the node are others than at the last judgement.</summary>
    public bool HasOtherKeys(ISealKeys keys) => keys.Version(origin.Node) != _keys;

    private void Verify(ISealKeys keys)
    {
        int version = keys.Version(origin.Node);
        if (version != _keys)
        {
            _keys = version;
            _good.Clear();
            _wrong = [];
            _unjudged = [.. _all];
        }

        var waiting = new List<OriginSealed>();
        foreach (OriginSealed seal in _unjudged)
        {
            switch (keys.Check(origin.Node, SealMessage.Of(origin, seal.Sequence, seal.Chain), seal.Signature.AsSpan()))
            {
                case SealVerdict.Good:
                    _good.Add((seal.Sequence, seal.Chain));
                    break;
                case SealVerdict.Wrong:
                    _wrong.Add(seal);
                    break;
                default:
                    waiting.Add(seal);
                    break;
            }
        }

        _unjudged = waiting;
        if (_wrong.Count > MostWrong)
        {
            // Inventions must not crowd out what the node really signed.
            HashSet<OriginSealed> dropped = [.. _wrong[MostWrong..]];
            _wrong.RemoveRange(MostWrong, _wrong.Count - MostWrong);
            _all = [.. _all.Where(seal => !dropped.Contains(seal))];
        }
    }

    private SequenceRanges Walk(IJournalView journal, List<SealFault> faults)
    {
        SequenceRanges covered = SequenceRanges.Empty;
        List<(ulong Sequence, Sha256Hash Chain)> starts = [(0, ReportChain.Seed(origin))];
        foreach ((ulong Sequence, Sha256Hash Chain) to in _good)
        {
            bool fits = false;
            bool differs = false;
            bool waits = false;
            (ulong Sequence, Sha256Hash Chain)[] from = [.. starts.Where(start => start.Sequence < to.Sequence).TakeLast(MostStarts).Reverse()];
            foreach ((ulong Sequence, Sha256Hash Chain) start in from)
            {
                SealWalk.End end = Walked(journal, start, to);
                fits = end == SealWalk.End.Fits;
                differs |= end == SealWalk.End.Differs;
                waits |= end is SealWalk.End.Incomplete;
                if (fits)
                {
                    covered = covered.With(new SequenceRange(start.Sequence + 1, to.Sequence));
                    break;
                }
            }

            if (!fits && differs && !waits)
            {
                faults.Add(new SealFault(origin, from[0].Sequence + 1, to.Sequence, WrongSignature: false));
            }

            starts.Add(to);
            if (starts.Count > 2 * MostStarts)
            {
                starts.RemoveRange(0, starts.Count - MostStarts - 1);
            }
        }

        return covered;
    }

    private SealWalk.End Walked(IJournalView journal, (ulong, Sha256Hash) from, (ulong, Sha256Hash) to)
    {
        if (!_walked.TryGetValue((from, to), out SealWalk.End end))
        {
            end = SealWalk.Follow(journal, origin, from, to);
            if (end != SealWalk.End.Incomplete)
            {
                _walked.Add((from, to), end);
            }
        }

        return end;
    }

    private SequenceRanges Take(IJournalView journal, Func<ReportKey, bool> isOwnWord)
    {
        SequenceRanges all = SequenceRanges.Empty;
        foreach (((ReportKey By, TakenDirectly Taken) key, bool known) in _taken.ToArray())
        {
            if (!isOwnWord(key.By))
            {
                continue;
            }

            var range = new SequenceRange(key.Taken.First, key.Taken.Last);
            if (known || SealContents.Of(journal.Contents(origin, range, LongestTaken)) == key.Taken.Contents)
            {
                _taken[key] = true;
                all = all.With(range);
            }
        }

        return all;
    }
}
