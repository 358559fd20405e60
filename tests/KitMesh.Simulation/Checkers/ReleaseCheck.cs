using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Domain.Time;
using KitMesh.Footage.Ledger;
using KitMesh.Protocol.Reports;
using KitMesh.Sync.Journal;
using KitMesh.Sync.Seals;
using KitMesh.TestKit.Mutants;
using NodaTime;

namespace KitMesh.Simulation.Checkers;

/// <summary>No release without proof: what one hub's ledger says of the cards after each commit, judged by what that hub holds.</summary>
/// <remarks>
/// Real: re-timing and ledger, fed with what became durable here and in the order in which it did, as a hub feeds them; after
/// a restart from its journal again. A hub whose disk lost reports goes on from what is left.
/// </remarks>
internal sealed class ReleaseCheck(World world, string hub) : IWriterRights
{
    private readonly Dictionary<(ReportKey Key, Sha256Hash Content), Report> _held = [];
    private readonly List<ClockObservation> _pairs = [];
    private readonly Dictionary<Report, Instant> _times = new(ReferenceEqualityComparer.Instance);
    private Retiming _retiming = Retiming.None;
    private FootageLedger? _ledger;
    private SealBook? _seals;
    private IJournalView? _journal;
    private bool _hasPairs;

    /// <summary>The process has started: everything is read from the journal.</summary>
    internal void Restart(IJournalView journal, Instant now)
    {
        _held.Clear();
        _pairs.Clear();
        _retiming = Retiming.None;
        _hasPairs = false;
        _times.Clear();
        _ledger = null;
        _journal = journal;
        _seals = world.HasForger ? new SealBook(journal, world.SealKeys) : null;
        Take(journal.Replay(JournalPosition.Start).Select(entry => entry.Report), now);
    }

    /// <summary>Reports became durable.</summary>
    internal void Take(IEnumerable<RawReport> reports, Instant now)
    {
        var fresh = new List<Report>();
        bool hasSeals = false;
        foreach (RawReport raw in reports)
        {
            hasSeals |= _seals is { } seals && AddSeal(seals, raw);
            if (!world.Releases.MayKnow(raw.Key))
            {
                continue;
            }

            Sha256Hash content = world.Contents.Of(raw);
            if (world.Releases.Find(raw.Key, content) is { } report && (!world.Releases.IsForged(report) || IsKept(raw.Key, content)) && _held.TryAdd((raw.Key, content), report))
            {
                if (report.Body is ClockPair pair)
                {
                    _pairs.Add(new ClockObservation(report.Key.Origin.Node, pair));
                    _hasPairs = true;
                }
                else
                {
                    fresh.Add(report);
                }
            }
        }

        if (fresh.Count == 0 && !hasSeals)
        {
            // New clock pairs are taken in with the next report of the station, and there are many of those.
            return;
        }

        bool hasMoved = false;
        _seals?.Settle();
        if (_hasPairs)
        {
            _hasPairs = false;
            _retiming = Retiming.From(_pairs);
            hasMoved = _times.Any(report => _retiming.Time(report.Key).Time != report.Value);
        }

        Judge(fresh, hasMoved, now);
    }

    /// <inheritdoc/>
    public bool IsAttested(ReportKey report) => world.Mutant == Mutant.SealNotAsked || _seals!.Now.IsAttested(report);

    /// <inheritdoc/>
    public bool MayProve(ReportKey report) => IsAttested(report);

    /// <inheritdoc/>
    public bool MayRelease(ReportKey report) => IsAttested(report);

    // A journal keeps so many contents of one sequence and no more; what it left out no hub hears of.
    private bool IsKept(ReportKey key, Sha256Hash content) =>
        _journal!.Contents(key.Origin, new SequenceRange(key.Sequence, key.Sequence), int.MaxValue).Any(kept => kept.Hash == content);

    /// <returns>Whether it was a seal.</returns>
    private bool AddSeal(SealBook seals, RawReport raw)
    {
        if (raw.Key.Origin.Node != world.Releases.Station)
        {
            return false; // No release rests on what others seal.
        }

        if (BodyPeek.KindOf(raw.Bytes.Span) == ReportKind.OriginSealed)
        {
            seals.Add(ReportCodec.Decode(raw));
            return true;
        }

        seals.Touch(raw.Key.Origin);
        return false;
    }

    private void Judge(List<Report> fresh, bool hasMoved, Instant now)
    {
        if (hasMoved || _ledger is null)
        {
            // Every time may have moved: the ledger is built anew.
            _ledger = _seals is null ? new FootageLedger() : new FootageLedger(this);
            fresh = [.. _times.Keys, .. fresh];
        }

        foreach (Report report in fresh)
        {
            _times[report] = _retiming.Time(report).Time;
            foreach (Report heard in Heard(report))
            {
                _ledger.Add(_retiming.Time(heard));
            }
        }

        foreach (CardRow card in _ledger.Now(now).Cards)
        {
            if (card.State == CardState.MayBeFormatted)
            {
                if (world.Releases.Objection(card.Card, _held.Values) is { } objection)
                {
                    throw new WorldFault($"{hub} says that {card.Card} may be formatted ({card.Reason}), but {objection}.");
                }

                world.Releases.Released++;
            }
        }
    }

    /// <summary>What the ledger hears of a report: itself, unless a mistake is made.</summary>
    private IEnumerable<Report> Heard(Report report) => (world.Mutant, report.Body) switch
    {
        (Mutant.WrittenCountsAsProof, CopyMade made) =>
            [report, report with { Body = new CopyVerified(made.Clip, made.Drive, made.Path, made.Size, ReadBackLevel.Direct, false) }],
        (Mutant.CacheCountsAsProof, CopyVerified verified) => [report with { Body = verified with { Level = ReadBackLevel.Direct } }],
        (Mutant.FailureUnheard, CopyFailed) => [],
        _ => [report],
    };
}
