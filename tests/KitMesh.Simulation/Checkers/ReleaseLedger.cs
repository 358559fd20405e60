using KitMesh.Domain.Reports;
using KitMesh.TestKit.Disk;

namespace KitMesh.Simulation.Checkers;

/// <summary>What is really on the cards of a world, and which reports a release may rest on.</summary>
internal sealed class ReleaseLedger
{
    /// <summary>Copies, on as many drives in as many cases, that a card's clips need.</summary>
    internal const int RuleCopies = 2;

    private readonly Dictionary<KitId, ClipHash[]> _cards = [];
    private readonly Dictionary<(ReportKey Key, Sha256Hash Content), Report> _told = [];
    private readonly HashSet<ReportKey> _toldKeys = [];
    private readonly HashSet<Report> _forged = new(ReferenceEqualityComparer.Instance);

    /// <summary>How often a hub said that a card may be formatted, with proof each time.</summary>
    internal int Released { get; set; }

    /// <summary>Files on a card, known to nobody yet.</summary>
    internal void Put(KitId card, ClipHash[] clips) => _cards[card] = clips;

    /// <summary>A station encoded a report; kept when it says something about the cards, drives and clips of this world.</summary>
    internal void Wrote(Report report, Sha256Hash content)
    {
        bool isOurs = report.Body switch
        {
            CardSeen seen => _cards.ContainsKey(seen.Card),
            ClipFound found => _cards.ContainsKey(found.Card),
            CopyMade made => IsOurs(made.Clip),
            CopyVerified verified => IsOurs(verified.Clip),
            CopyFailed { Clip: { } clip } => IsOurs(clip),
            KitDeclared declared => declared.Item.Id.Value.StartsWith("station ", StringComparison.Ordinal),
            ClockPair => true,
            _ => false,
        };
        if (isOurs)
        {
            _told[(report.Key, content)] = report;
            _toldKeys.Add(report.Key);
        }
    }

    /// <summary>Somebody invented a report in a station's name.</summary>
    internal void Forged(Report report, Sha256Hash content)
    {
        _forged.Add(report);
        _told[(report.Key, content)] = report;
        _toldKeys.Add(report.Key);
    }

    /// <summary>The node that tells of the cards.</summary>
    internal NodeId Station { get; set; }

    internal bool HasForged(OriginId origin) => _forged.Any(report => report.Key.Origin == origin);

    internal bool IsForged(Report report) => _forged.Contains(report);

    /// <summary>One of the cards, with what is on it.</summary>
    internal (KitId Card, IReadOnlyList<ClipHash> Clips) Draw(SeededRandom random)
    {
        KeyValuePair<KitId, ClipHash[]> card = _cards.OrderBy(card => card.Key).ElementAt(random.Below(_cards.Count));
        return (card.Key, card.Value);
    }

    internal bool MayKnow(ReportKey key) => _toldKeys.Contains(key);

    internal Report? Find(ReportKey key, Sha256Hash content) => _told.GetValueOrDefault((key, content));

    /// <summary>Why a card may not be formatted on the word of these reports, inventions left out; null when it may.</summary>
    internal string? Objection(KitId card, IEnumerable<Report> heard)
    {
        if (!_cards.TryGetValue(card, out ClipHash[]? clips))
        {
            return null;
        }

        List<Report> held = [.. heard.Where(report => !IsForged(report))];
        foreach (ClipHash clip in clips)
        {
            int drives = held
                .Where(report => report.Body is CopyVerified { Level: >= ReadBackLevel.CacheDropped } proof && proof.Clip == clip)
                .Where(proof => !held.Any(report => Overrules(report, proof)))
                .Select(proof => ((CopyVerified)proof.Body).Drive)
                .Distinct()
                .Count();
            if (drives < RuleCopies)
            {
                return $"clip {clip} on it has {drives} copies that were read back";
            }
        }

        return null;
    }

    /// <summary>Inside one origin the journal says which came later; between origins only clocks do, and no checker needs to believe them.</summary>
    private static bool Overrules(Report report, Report proof) =>
        report.Body is CopyFailed failed
        && proof.Body is CopyVerified verified
        && failed.Clip == verified.Clip
        && failed.Drive == verified.Drive
        && report.Key.Origin == proof.Key.Origin
        && report.Key.Sequence > proof.Key.Sequence;

    private bool IsOurs(ClipHash clip) => _cards.Values.Any(clips => clips.Contains(clip));
}
