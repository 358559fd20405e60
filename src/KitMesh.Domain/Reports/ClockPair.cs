using KitMesh.Domain.Quantities;
using KitMesh.Domain.Time;
using NodaTime;

namespace KitMesh.Domain.Reports;

/// <summary>Two devices' clocks seen together: what the subject's boot clock read when the observer's read its own.</summary>
/// <param name="Subject">The node whose clock is compared.</param>
/// <param name="SubjectTime">What the subject's clocks said.</param>
/// <param name="SubjectTrust">How far the subject's wall clock can be believed, as it says itself.</param>
/// <param name="ObserverTime">What the observer's clocks said at that moment; the observer is the report's origin.</param>
/// <param name="ObserverTrust">How far the observer's wall clock can be believed, as it says itself.</param>
/// <param name="Uncertainty">Half the round trip: how far apart the two readings may have been.</param>
public sealed record ClockPair(
    NodeId Subject,
    DeviceTime SubjectTime,
    ClockTrust SubjectTrust,
    DeviceTime ObserverTime,
    ClockTrust ObserverTrust,
    Duration Uncertainty) : ReportBody
{
    /// <inheritdoc/>
    public override ReportKind Kind => ReportKind.ClockPair;
}
