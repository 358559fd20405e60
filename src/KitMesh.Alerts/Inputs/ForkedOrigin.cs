using KitMesh.Domain.Reports;

namespace KitMesh.Alerts.Inputs;

/// <summary>An origin that wrote two different reports under one sequence number: a disk was restored or copied.</summary>
/// <param name="Origin">The origin.</param>
/// <param name="FirstSequence">The first sequence number with two contents.</param>
/// <param name="Reports">How many numbers have two contents.</param>
public sealed record ForkedOrigin(OriginId Origin, ulong FirstSequence, int Reports);
