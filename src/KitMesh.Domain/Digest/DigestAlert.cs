using KitMesh.Domain.Results;

namespace KitMesh.Domain.Digest;

/// <summary>One standing alert in a digest line.</summary>
/// <param name="Rule">The rule of the catalogue.</param>
/// <param name="Subject">What it is about.</param>
/// <param name="Weight">How much it asks.</param>
/// <param name="StandsHours">How long it has stood at the least, in hours, rounded down along the ladder of docs/digest-line.md.</param>
public sealed record DigestAlert(NameTag Rule, NameTag Subject, AlertWeight Weight, int StandsHours);
