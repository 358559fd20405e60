using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>One thing to do.</summary>
/// <param name="Key">Names this advice across refreshes: the question it comes from and its subject.</param>
/// <param name="Category">What it is about.</param>
/// <param name="What">What to do, as an instruction.</param>
/// <param name="Reason">Why, with the figures behind it.</param>
/// <param name="Deadline">When it must be done at the latest; null when there is none.</param>
/// <param name="Gain">What doing it gains, in words with figures; null when it only stops harm.</param>
/// <param name="Weight">How much it matters, from 0 to 1: lists are sorted by urgency from weight and deadline.</param>
/// <param name="Subject">The thing it is about; null for the trip.</param>
public sealed record Advice(
    string Key,
    AdviceCategory Category,
    string What,
    string Reason,
    Instant? Deadline,
    string? Gain,
    double Weight,
    KitId? Subject);
