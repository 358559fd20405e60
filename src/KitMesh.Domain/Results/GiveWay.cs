using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>One thing that could give way so that the drives last, mildest first.</summary>
/// <param name="What">What to do, in words with figures.</param>
/// <param name="LastsUntil">The day that the drives then last to with chance 0.9; null when they then reach the last day.</param>
/// <param name="GigabytesSaved">Room won by the last day.</param>
public sealed record GiveWay(string What, LocalDate? LastsUntil, double GigabytesSaved);
