using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Sync.Session;

/// <summary>Remembers the last clock pair of each peer, so that a link that breaks a hundred times a day does not write a hundred.</summary>
/// <remarks>One for all sessions of a node; safe to call from many threads. Forgetting it costs one report a peer.</remarks>
public sealed class ClockPairLog
{
    /// <summary>The most peers remembered.</summary>
    public const int MaxPeers = 10_000;

    private static readonly Duration WorthAgain = Duration.FromHours(6);
    private static readonly Duration Noticeable = Duration.FromMilliseconds(250);

    private readonly Lock _gate = new();
    private readonly Dictionary<NodeId, ClockPair> _last = [];

    /// <summary>Whether a pair tells something new: another boot, a moved clock, more trust, much less doubt, or six hours have passed.</summary>
    /// <param name="pair">The pair. When it is news it becomes the last.</param>
    public bool IsNews(ClockPair pair)
    {
        lock (_gate)
        {
            if (_last.TryGetValue(pair.Subject, out ClockPair? last) && !Differs(last, pair))
            {
                return false;
            }

            if (_last.Count >= MaxPeers)
            {
                _last.Clear();
            }

            _last[pair.Subject] = pair;
            return true;
        }
    }

    private static bool Differs(ClockPair last, ClockPair pair)
    {
        if (last.SubjectTime.Boot != pair.SubjectTime.Boot
            || last.ObserverTime.Boot != pair.ObserverTime.Boot
            || last.SubjectTrust != pair.SubjectTrust
            || last.ObserverTrust != pair.ObserverTrust
            || pair.Uncertainty < last.Uncertainty / 2)
        {
            return true;
        }

        Duration allowed = Noticeable + last.Uncertainty + pair.Uncertainty;
        Duration passed = Between(last.ObserverTime.MonotonicNanoseconds, pair.ObserverTime.MonotonicNanoseconds);
        Duration subjectPassed = Between(last.SubjectTime.MonotonicNanoseconds, pair.SubjectTime.MonotonicNanoseconds);
        return passed >= WorthAgain
            || Magnitude(passed - subjectPassed) > allowed
            || Magnitude(pair.ObserverTime.Wall - last.ObserverTime.Wall - passed) > allowed
            || Magnitude(pair.SubjectTime.Wall - last.SubjectTime.Wall - subjectPassed) > allowed;
    }

    private static Duration Between(long from, long to) => Duration.FromNanoseconds(to) - Duration.FromNanoseconds(from);

    private static Duration Magnitude(Duration duration) => duration < Duration.Zero ? -duration : duration;
}
