using KitMesh.Domain;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Sync.Journal;
using NodaTime;

namespace KitMesh.Sync.Seals;

/// <summary>Makes the seals of this node, when something lies before them that none covers.</summary>
/// <remarks>
/// Problem: a seal costs as much as three readings, and on a link that stays open "nothing more to say" comes after each of
/// them. Method: a session begins with a seal over all that is open; in a session, a seal follows what others act on (copies, cards,
/// kit, who may join) as soon as it is said, and readings by the thousand or the hour. Seals alone are never sealed, so an idle
/// node stays quiet. What is open is told from the journal, so a restart changes nothing.
/// </remarks>
/// <param name="journal">This node's journal: what it answers is durable, and only that is signed.</param>
/// <param name="signer">This node's key.</param>
/// <param name="decode">Reads a report.</param>
public sealed class OwnSeals(IJournalView journal, ISealSigner signer, Func<RawReport, Report> decode)
{
    /// <summary>Reports after which a seal is due.</summary>
    public const int EveryReports = 1_000;

    private const int ReadBytes = 256 << 10;
    private const ulong LookBack = 4 * EveryReports;
    private const int MostOpen = 100_000;
    private static readonly Duration Longest = Duration.FromHours(1);

    private readonly Lock _gate = new();
    private readonly Queue<(ulong Sequence, bool Weighs)> _open = new();
    private OriginId? _origin;
    private ulong _looked;
    private Duration? _since;

    /// <summary>The seal that is due now; null when none is. The caller writes it as a report of this node's own.</summary>
    /// <param name="occasion">Why it is asked.</param>
    /// <param name="now">Machine time.</param>
    public DueSeal? Make(SealOccasion occasion, Duration now)
    {
        lock (_gate)
        {
            if (journal.Have(journal.Own) is not { } holding || holding.Forks.Count > 0)
            {
                // A history with two contents is not this node's alone; the next epoch is.
                return null;
            }

            Look(holding);
            _since = _open.Count == 0 ? null : _since ?? now;
            if (!IsDue(occasion, now) || journal.ChainAt(holding.Origin, _looked) is not { } chain)
            {
                return null;
            }

            var seal = new OriginSealed(_looked, chain, ValueList.Create<byte>(signer.Sign(SealMessage.Of(holding.Origin, _looked, chain))));
            return new DueSeal(holding.Origin, seal);
        }
    }

    /// <summary>Whether others act on a kind, so that it is sealed at once.</summary>
    /// <param name="kind">The kind.</param>
    public static bool Weighs(ReportKind kind) => kind
        is ReportKind.CardSeen or ReportKind.ClipFound or ReportKind.CopyMade or ReportKind.CopyVerified or ReportKind.CopyFailed
        or ReportKind.CardFormatted or ReportKind.CardReleased or ReportKind.KitDeclared or ReportKind.KitPlaced
        or ReportKind.NodeEnrolled or ReportKind.NodeRevoked;

    private bool IsDue(SealOccasion occasion, Duration now) =>
        _open.Count > 0
        && (occasion == SealOccasion.SessionBegins
            || _open.Count >= EveryReports
            || (_since is { } since && now - since >= Longest)
            || _open.Any(open => open.Weighs));

    private void Look(OriginHolding holding)
    {
        ulong last = holding.Ranges.PrefixEnd;
        if (_origin != holding.Origin)
        {
            _origin = holding.Origin;
            _open.Clear();
            _looked = last > LookBack ? last - LookBack : 0;
        }

        while (_looked < last)
        {
            ulong before = _looked;
            foreach (RawReport report in journal.Read(holding.Origin, new SequenceRange(_looked + 1, last), ReadBytes).Reports)
            {
                Take(decode(report));
                _looked = report.Key.Sequence;
            }

            if (_looked == before)
            {
                // Dropped after its acknowledgement: what follows tells.
                _looked = holding.Kept.FirstOrDefault(range => range.Last > before, new SequenceRange(last, last)) is { } kept && kept.First > before + 1
                    ? kept.First - 1
                    : last;
            }
        }
    }

    private void Take(Report report)
    {
        if (report.Body is not OriginSealed seal)
        {
            if (_open.Count < MostOpen)
            {
                _open.Enqueue((report.Key.Sequence, Weighs(report.Body.Kind)));
            }

            return;
        }

        while (_open.TryPeek(out (ulong Sequence, bool Weighs) open) && open.Sequence <= seal.Sequence)
        {
            _open.Dequeue();
            _since = null;
        }
    }
}
