using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Domain.Time;

/// <summary>Boots and the clock pairs between them; see <see cref="Retiming"/> for what it is good for.</summary>
internal sealed class ClockGraph
{
    /// <summary>From this rank up two clocks agree with each other, so that each can be a root by itself.</summary>
    private const ClockTrust AgreesByItself = ClockTrust.NetworkSet;

    private readonly SortedDictionary<BootTimeline, List<Link>> _links = [];
    private readonly SortedDictionary<BootTimeline, SortedSet<Claim>> _claims = [];
    private readonly Dictionary<BootTimeline, AnchorLine> _lines = [];

    public ClockGraph(IEnumerable<ClockObservation> observations)
    {
        foreach (ClockObservation seen in observations.Distinct())
        {
            ClockPair pair = seen.Pair;
            var observer = new BootTimeline(seen.Observer, pair.ObserverTime.Boot);
            var subject = new BootTimeline(pair.Subject, pair.SubjectTime.Boot);
            AddClaim(observer, pair.ObserverTime, pair.ObserverTrust);
            AddClaim(subject, pair.SubjectTime, pair.SubjectTrust);
            if (observer != subject)
            {
                long doubt = Math.Max(0, Doubt(pair.Uncertainty));
                LinksOf(observer).Add(new Link(pair.ObserverTime.MonotonicNanoseconds, subject, pair.SubjectTime.MonotonicNanoseconds, doubt));
                LinksOf(subject).Add(new Link(pair.SubjectTime.MonotonicNanoseconds, observer, pair.ObserverTime.MonotonicNanoseconds, doubt));
            }
        }
    }

    /// <summary>The anchors of every boot that can be told.</summary>
    public Dictionary<BootTimeline, AnchorLine> Resolve()
    {
        var seen = new HashSet<BootTimeline>();
        foreach (BootTimeline start in _claims.Keys)
        {
            if (seen.Add(start))
            {
                ResolvePart(Part(start, seen));
            }
        }

        return _lines;
    }

    private static long Doubt(Duration uncertainty) =>
        uncertainty >= Duration.FromNanoseconds(long.MaxValue) ? long.MaxValue
        : uncertainty <= Duration.Zero ? 0
        : uncertainty.ToInt64Nanoseconds();

    /// <summary>The boots that pairs connect with one, in stable order.</summary>
    private List<BootTimeline> Part(BootTimeline start, HashSet<BootTimeline> seen)
    {
        var part = new List<BootTimeline> { start };
        for (int i = 0; i < part.Count; i++)
        {
            foreach (Link link in LinksOf(part[i]))
            {
                if (seen.Add(link.Other))
                {
                    part.Add(link.Other);
                }
            }
        }

        part.Sort();
        return part;
    }

    private void ResolvePart(List<BootTimeline> part)
    {
        ClockTrust best = part.Max(boot => _claims[boot].Count == 0 ? ClockTrust.Unknown : _claims[boot].Max.Trust);
        if (best == ClockTrust.Unknown)
        {
            return;
        }

        List<BootTimeline> roots = [.. part.Where(boot => _claims[boot].Count > 0 && _claims[boot].Max.Trust == best)];
        if (best < AgreesByItself)
        {
            roots = [roots.OrderByDescending(boot => LinksOf(boot).Select(link => link.Other).Distinct().Count()).ThenBy(boot => boot).First()];
        }

        foreach (BootTimeline root in roots)
        {
            IEnumerable<ClockAnchor> anchors = _claims[root]
                .Where(claim => claim.Trust == best)
                .Select(claim => new ClockAnchor(claim.Monotonic, claim.Wall, 0));
            _lines.Add(root, new AnchorLine(anchors, best));
        }

        Spread(roots, best);
    }

    /// <summary>Gives time to the neighbours of boots that have it, one link further at each round.</summary>
    private void Spread(List<BootTimeline> reached, ClockTrust trust)
    {
        while (reached.Count > 0)
        {
            var found = new SortedDictionary<BootTimeline, List<ClockAnchor>>();
            foreach (BootTimeline boot in reached)
            {
                AnchorLine line = _lines[boot];
                foreach (Link link in LinksOf(boot))
                {
                    if (_lines.ContainsKey(link.Other))
                    {
                        continue;
                    }

                    ClockAnchor anchor = line.At(link.Here);
                    if (!found.TryGetValue(link.Other, out List<ClockAnchor>? anchors))
                    {
                        found.Add(link.Other, anchors = []);
                    }

                    long doubt = ClockAnchor.Saturate((Int128)anchor.DoubtAt(link.Here) + link.Doubt);
                    anchors.Add(new ClockAnchor(link.There, anchor.TimeAt(link.Here), doubt));
                }
            }

            foreach ((BootTimeline boot, List<ClockAnchor> anchors) in found)
            {
                _lines.Add(boot, new AnchorLine(anchors, trust));
            }

            reached = [.. found.Keys];
        }
    }

    private void AddClaim(BootTimeline boot, DeviceTime time, ClockTrust trust)
    {
        if (!_claims.TryGetValue(boot, out SortedSet<Claim>? claims))
        {
            _claims.Add(boot, claims = []);
        }

        if (trust != ClockTrust.Unknown && Retiming.IsPlausible(time.Wall))
        {
            claims.Add(new Claim(trust, time.MonotonicNanoseconds, UnixNanoseconds.Of(time.Wall)));
        }
    }

    private List<Link> LinksOf(BootTimeline boot)
    {
        if (!_links.TryGetValue(boot, out List<Link>? links))
        {
            _links.Add(boot, links = []);
        }

        return links;
    }

    /// <summary>Two boots at one moment.</summary>
    private readonly record struct Link(long Here, BootTimeline Other, long There, long Doubt);

    /// <summary>What a boot's wall clock said, and how far it can be believed.</summary>
    private readonly record struct Claim(ClockTrust Trust, long Monotonic, long Wall) : IComparable<Claim>
    {
        public int CompareTo(Claim other)
        {
            int byTrust = Trust.CompareTo(other.Trust);
            if (byTrust != 0)
            {
                return byTrust;
            }

            int byMonotonic = Monotonic.CompareTo(other.Monotonic);
            return byMonotonic != 0 ? byMonotonic : Wall.CompareTo(other.Wall);
        }
    }
}
