using KitMesh.Disk;
using KitMesh.Domain;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal.Format;
using NodaTime;

namespace KitMesh.Sync.Journal;

/// <summary>Reads reports back from their segments, and takes what turns out damaged out of the index.</summary>
internal sealed class JournalReader(SegmentFiles files, JournalIndex index)
{
    private const int ChainStepBytes = 1 << 20;

    /// <summary>
    /// Runs kept as they were read: a peer takes a run in many small frames, of several origins in turn, and several peers take at
    /// once. Without this each frame would read, unpack and check a whole run. With runs of 256 KiB this is at most some 6 MiB.
    /// </summary>
    private const int MostServed = 16;

    /// <summary>The last one served stands last.</summary>
    private readonly List<(Run Run, long End, List<RawReport> Reports)> _served = new(MostServed);

    internal JournalRead Read(OriginId origin, SequenceRange range, int maxBytes)
    {
        if (index.Find(origin) is not { } known)
        {
            return new JournalRead([]);
        }

        JournalRead read = Read(known, range, maxBytes);
        if (read.Damage is not null)
        {
            // The chain fell back to its last mark before the damage.
            CatchUp(known);
        }

        return read;
    }

    private JournalRead Read(OriginIndex known, SequenceRange range, int maxBytes)
    {
        var found = new List<RawReport>();
        JournalDamage? forkDamage = null;
        long bytes = 0;
        foreach (Run run in known.RunsOver(range).ToArray())
        {
            List<RawReport> served = Serve(known, run, out JournalDamage? damage);
            foreach (RawReport report in served.Where(report => report.Key.Sequence >= range.First && report.Key.Sequence <= range.Last))
            {
                List<RawReport> sequence = WithForks(known, report, ref forkDamage);
                bytes += sequence.Sum(one => (long)one.Bytes.Length);
                if (found.Count > 0 && bytes > maxBytes)
                {
                    return new JournalRead(found, forkDamage);
                }

                found.AddRange(sequence);
            }

            if ((damage ?? forkDamage) is { } met)
            {
                return new JournalRead(found, met);
            }
        }

        return new JournalRead(found);
    }

    internal IReadOnlyList<ReportContent> Contents(OriginId origin, SequenceRange range, int most)
    {
        var contents = new List<ReportContent>();
        ulong next = range.First;
        while (next <= range.Last && contents.Count < most)
        {
            JournalRead read = Read(origin, new SequenceRange(next, range.Last), ChainStepBytes);
            if (read.Reports.Count == 0)
            {
                break;
            }

            contents.AddRange(read.Reports.Select(report => new ReportContent(report.Key.Sequence, Sha256Hash.Of(report.Bytes.Span))));
            next = contents[^1].Sequence + 1;
        }

        contents.Sort();
        return contents.Count <= most ? contents : contents.GetRange(0, most);
    }

    /// <summary>Moves an origin's chain over everything kept that directly follows it.</summary>
    internal void CatchUp(OriginIndex origin)
    {
        while (origin.Kept.Contains(origin.ChainSequence + 1))
        {
            ulong before = origin.ChainSequence;
            foreach (RawReport report in ReadFirsts(origin, before + 1))
            {
                if (!origin.TryAdvance(report.Key.Sequence, report.Bytes.Span))
                {
                    break;
                }
            }

            if (origin.ChainSequence == before)
            {
                return;
            }
        }
    }

    internal Sha256Hash? ChainAt(OriginId id, ulong sequence)
    {
        OriginIndex? origin = index.Find(id);
        if (origin is null || sequence > origin.ChainSequence)
        {
            return sequence == 0 ? ReportChain.Seed(id) : null;
        }

        (ulong at, Sha256Hash chain) = origin.NearestMark(sequence);
        while (at < sequence && origin.Kept.Contains(at + 1))
        {
            ulong before = at;
            foreach (RawReport report in ReadFirsts(origin, at + 1))
            {
                if (report.Key.Sequence != at + 1 || at == sequence)
                {
                    break;
                }

                at++;
                chain = origin.Step(chain, at, report.Bytes.Span);
            }

            if (at == before)
            {
                return null;
            }
        }

        return at == sequence ? chain : null;
    }

    /// <summary>A chunk of entries in the order of arrival, and where the next one begins; null at the end.</summary>
    internal (IReadOnlyList<JournalEntry> Entries, JournalPosition Next)? ReplayChunk(JournalPosition from)
    {
        int at = index.IndexOf(from.Segment);
        if (at == index.Segments.Count)
        {
            return null;
        }

        Segment segment = index.Segments[at];
        long offset = segment.Number == from.Segment ? from.Offset : 0;
        if (offset >= segment.Length)
        {
            return at + 1 < index.Segments.Count ? ReplayChunk(new JournalPosition(index.Segments[at + 1].Number, 0)) : null;
        }

        long end = SegmentFiles.ChunkEnd(segment, offset);
        DiskResult<byte[]> read = files.Read(segment, offset, end);
        List<SegmentPiece> pieces = read.Fault is null ? SegmentWalk.Split(read.Value, segment.Number, offset, out _) : [];
        return ([.. pieces.SelectMany(piece => EntriesOf(segment, piece.Frame))], new JournalPosition(segment.Number, end));
    }

    /// <summary>
    /// The reports of a run, each once: between its frames may stand frames of others, repeats of what it serves, and
    /// damage. What is missing is lost here and reported, unless the device is only gone: it comes back, wrong bytes do not.
    /// </summary>
    private List<RawReport> Serve(OriginIndex origin, Run run, out JournalDamage? damage)
    {
        damage = null;
        if (Served(run) is { } before)
        {
            return before;
        }

        var served = new List<RawReport>();
        ulong next = run.First;
        foreach (Frame frame in FramesOf(run.Segment, run.Offset, run.End, out damage))
        {
            if (frame.Origin == origin.Id && (frame.Kind == FrameKind.Reports || run.IsFork))
            {
                served.AddRange(frame.Reports().Where(report => report.Key.Sequence >= next && report.Key.Sequence <= run.Last));
                next = served.Count > 0 ? served[^1].Key.Sequence + 1 : next;
            }
        }

        if ((ulong)served.Count == run.Range.Count)
        {
            damage = null;
            Keep(run, served);
        }
        else
        {
            damage ??= new JournalDamage(run.Segment.Path, run.Offset, run.End - run.Offset, "reports are not where they were written", DiskFaultKind.InputOutput);
            if (damage.Cause == DiskFaultKind.InputOutput)
            {
                origin.Lose(run, SequenceRanges.FromUnordered(served.Select(report => new SequenceRange(report.Key.Sequence, report.Key.Sequence))));
            }
        }

        return served;
    }

    private List<RawReport>? Served(Run run)
    {
        for (int i = _served.Count - 1; i >= 0; i--)
        {
            (Run Run, long End, List<RawReport> Reports) one = _served[i];
            if (one.Run != run)
            {
                continue;
            }

            _served.RemoveAt(i);
            if (one.End != run.End && !TryReadGrowth(run, one.End, one.Reports))
            {
                return null;
            }

            _served.Add((run, run.End, one.Reports));
            return one.Reports;
        }

        return null;
    }

    /// <summary>The newest run grows with every commit: only what is new in it is read.</summary>
    private bool TryReadGrowth(Run run, long from, List<RawReport> reports)
    {
        List<Frame> frames = FramesOf(run.Segment, from, run.End, out JournalDamage? damage);
        if (damage is not null)
        {
            return false;
        }

        ulong next = reports[^1].Key.Sequence + 1;
        foreach (Frame frame in frames.Where(frame => frame.Origin == reports[0].Key.Origin && frame.Kind == FrameKind.Reports))
        {
            reports.AddRange(frame.Reports().Where(report => report.Key.Sequence >= next && report.Key.Sequence <= run.Last));
            next = reports[^1].Key.Sequence + 1;
        }

        return (ulong)reports.Count == run.Range.Count;
    }

    private void Keep(Run run, List<RawReport> reports)
    {
        if (_served.Count == MostServed)
        {
            _served.RemoveAt(0);
        }

        _served.Add((run, run.End, reports));
    }

    private static IEnumerable<JournalEntry> EntriesOf(Segment segment, Frame? maybe)
    {
        if (maybe is not { Kind: FrameKind.Reports or FrameKind.Fork } frame)
        {
            yield break;
        }

        var next = new JournalPosition(segment.Number, frame.End);
        Instant arrival = NodaConstants.UnixEpoch + Duration.FromNanoseconds(frame.ArrivalUnixNanoseconds);
        foreach (RawReport report in frame.Reports())
        {
            yield return new JournalEntry(report, arrival, frame.Kind == FrameKind.Fork, next);
        }
    }

    /// <summary>The first report of each sequence from one on: about a chunk of them.</summary>
    private List<RawReport> ReadFirsts(OriginIndex origin, ulong from)
    {
        var firsts = new List<RawReport>();
        foreach (RawReport report in Read(origin.Id, new SequenceRange(from, origin.Kept.Last), ChainStepBytes).Reports)
        {
            if (firsts.Count == 0 || firsts[^1].Key != report.Key)
            {
                firsts.Add(report);
            }
        }

        return firsts;
    }

    private List<RawReport> WithForks(OriginIndex origin, RawReport first, ref JournalDamage? damage)
    {
        List<RawReport> all = [first];
        if (origin.Forks.Count == 0)
        {
            return all;
        }

        foreach (ForkEntry fork in origin.Forks.Where(fork => fork.Content.Sequence == first.Key.Sequence).ToArray())
        {
            List<Frame> frames = FramesOf(fork.Segment, fork.Offset, fork.End, out JournalDamage? met);
            all.AddRange(frames.SelectMany(frame => frame.Reports()));
            damage ??= met;
            if (met?.Cause == DiskFaultKind.InputOutput)
            {
                origin.LoseFork(fork);
            }
        }

        return all;
    }

    private List<Frame> FramesOf(Segment segment, long from, long to, out JournalDamage? damage)
    {
        damage = null;
        if (files.Read(segment, from, to).Failed(out DiskFault? fault, out byte[]? bytes))
        {
            damage = new JournalDamage(segment.Path, from, to - from, fault.ToString(), fault.Kind);
            return [];
        }

        var frames = new List<Frame>();
        foreach (SegmentPiece piece in SegmentWalk.Split(bytes, segment.Number, from, out _))
        {
            if (piece.Frame is { } frame)
            {
                frames.Add(frame);
            }
            else
            {
                damage ??= new JournalDamage(segment.Path, piece.Offset, piece.Length, "a frame is not what was written", DiskFaultKind.InputOutput);
            }
        }

        return frames;
    }
}
