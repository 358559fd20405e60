using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Alerts.Inputs;

/// <summary>Something odd about the clips of a card or source.</summary>
/// <param name="Subject">The card or source.</param>
/// <param name="What">What is odd, for a person: a missing chapter, one name with two contents.</param>
/// <param name="At">When it was seen.</param>
public sealed record ClipTrouble(KitId Subject, string What, Instant At);
