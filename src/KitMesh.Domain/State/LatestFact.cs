using KitMesh.Domain.Time;
using NodaTime;

namespace KitMesh.Domain.State;

/// <summary>The latest fact about one thing, however late or out of order facts arrive.</summary>
/// <typeparam name="T">The fact.</typeparam>
/// <remarks>
/// Trap: a device that woke in 2079 would for ever have the last word. So facts whose time hangs on a believed clock, on
/// a wall clock that nobody checked, and on one that cannot be right are kept apart. An unchecked one counts only up to a
/// day past the newest believed time of the whole trip; an impossible one only when there is nothing else. Taking the
/// maximum in each class is commutative, associative and idempotent, so the order of arrival never matters.
/// </remarks>
internal sealed class LatestFact<T>
{
    private static readonly Duration Ahead = Duration.FromDays(1);

    private Stamped<T>? _believed;
    private Stamped<T>? _unchecked;
    private Stamped<T>? _impossible;

    /// <summary>Takes a fact in.</summary>
    public void Offer(T body, FactStamp stamp)
    {
        if (stamp.Trust != ClockTrust.Unknown)
        {
            Keep(ref _believed, body, stamp);
        }
        else if (Retiming.IsPlausible(stamp.Time))
        {
            Keep(ref _unchecked, body, stamp);
        }
        else
        {
            Keep(ref _impossible, body, stamp);
        }
    }

    /// <summary>The latest fact.</summary>
    /// <param name="newestBelieved">The newest believed time of the whole trip; null when no clock is believed.</param>
    public Stamped<T> Resolve(Instant? newestBelieved)
    {
        Stamped<T>? plain = _unchecked is { } candidate && newestBelieved is { } newest && candidate.Time > newest + Ahead ? null : _unchecked;
        Stamped<T>? best = _believed;
        if (best is null || (plain is not null && plain.Stamp.CompareTo(best.Stamp) > 0))
        {
            best = plain ?? best;
        }

        return best ?? _unchecked ?? _impossible!;
    }

    private static void Keep(ref Stamped<T>? kept, T body, FactStamp stamp)
    {
        if (kept is null || stamp.CompareTo(kept.Stamp) > 0)
        {
            kept = new Stamped<T>(body, stamp);
        }
    }
}
