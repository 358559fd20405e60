using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>How an outlook was computed, so that anybody can repeat it bit for bit.</summary>
/// <param name="Generator">Name of the random generator.</param>
/// <param name="Seed">The seed that it started from.</param>
/// <param name="Paths">Paths rolled.</param>
/// <param name="Step">Length of one step; at most an hour.</param>
public sealed record OutlookRun(string Generator, ulong Seed, int Paths, Duration Step);
