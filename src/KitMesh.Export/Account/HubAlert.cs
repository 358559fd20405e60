using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Export.Account;

/// <summary>An alert that a hub found by itself, as the trip was replayed.</summary>
/// <param name="Rule">The rule.</param>
/// <param name="Subject">What it is about.</param>
/// <param name="Since">When it was raised.</param>
/// <param name="Until">When it was cleared; null when it stood at the end.</param>
/// <param name="Words">What was seen.</param>
public sealed record HubAlert(string Rule, KitId Subject, Instant Since, Instant? Until, string Words);
