using NodaTime;

namespace KitMesh.Protocol.Certificates;

/// <summary>Whether a certificate's time is up, by a clock that may itself be wrong.</summary>
/// <remarks>
/// A wall clock outside 2025 to 2079 is believed by nobody (docs/sync-protocol.md), so by such a clock nothing is expired.
/// A believed clock may be off by days and a hub may run an hour a day, so there is grace on both sides.
/// </remarks>
public static class CertificateTime
{
    /// <summary>How far past its end, or before its beginning, a certificate still counts.</summary>
    public static readonly Duration Grace = Duration.FromDays(30);

    private static readonly Instant EarliestBelieved = Instant.FromUtc(2025, 1, 1, 0, 0);
    private static readonly Instant LatestBelieved = Instant.FromUtc(2080, 1, 1, 0, 0);

    /// <summary>Whether a wall clock can be believed at all.</summary>
    /// <param name="now">What it says.</param>
    public static bool IsBelieved(Instant now) => now >= EarliestBelieved && now < LatestBelieved;

    /// <summary>Whether a certificate is outside its time, grace included.</summary>
    /// <param name="span">When it holds.</param>
    /// <param name="now">The wall clock.</param>
    public static bool IsOutside(CertificateSpan span, Instant now) =>
        IsBelieved(now)
        && (now < Instant.FromDateTimeOffset(span.From) - Grace || now > Instant.FromDateTimeOffset(span.Until) + Grace);

    /// <summary>Whether a certificate should be renewed: a third of its time is left.</summary>
    /// <param name="span">When it holds.</param>
    /// <param name="now">The wall clock.</param>
    public static bool IsDue(CertificateSpan span, Instant now) =>
        IsBelieved(now) && Instant.FromDateTimeOffset(span.Until) - now < (Instant.FromDateTimeOffset(span.Until) - Instant.FromDateTimeOffset(span.From)) / 3;

    /// <summary>A span from a month back, so that clocks that lag may use it at once.</summary>
    /// <param name="now">The wall clock; when it cannot be believed, the span begins in 2025 and ends with the issuer's.</param>
    /// <param name="length">How long from now.</param>
    public static CertificateSpan From(Instant now, Duration length) => IsBelieved(now)
        ? new CertificateSpan(Whole(now - Grace), Whole(now + length))
        : new CertificateSpan(EarliestBelieved.ToDateTimeOffset(), (LatestBelieved - Duration.FromSeconds(1)).ToDateTimeOffset());

    private static DateTimeOffset Whole(Instant time) => DateTimeOffset.FromUnixTimeSeconds(time.ToUnixTimeSeconds());
}
