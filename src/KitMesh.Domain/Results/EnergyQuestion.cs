using KitMesh.Domain.Kit;
using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>All that an energy outlook is computed from: declared kit and readings, in any order.</summary>
/// <param name="Now">World time of the question.</param>
/// <param name="Kit">Every declared item that stands: exactly one trip, and its places, teams, days, banks, packs, boxes, panels, loads and outlets. Other kinds are passed over.</param>
/// <param name="Readings">
/// The latest reading of each thing at the least; the history as far as it is at hand, because loads, box and sky are learnt from it.
/// Readings later than <paramref name="Now"/> are passed over.
/// </param>
/// <param name="Forecast">Typed-in weather, at most one entry a place and day.</param>
/// <param name="Seed">Seed of the paths; the same question gives the same answer bit for bit.</param>
/// <param name="Paths">Paths to roll, at least 10,000 for an answer that is shown to people.</param>
/// <param name="Settings">What the crew decides about its panels; null for the defaults.</param>
public sealed record EnergyQuestion(
    Instant Now,
    ValueList<KitItem> Kit,
    ValueList<TimedReading> Readings,
    ValueList<SkyForecast> Forecast,
    ulong Seed = 1,
    int Paths = EnergyQuestion.DefaultPaths,
    EnergySettings? Settings = null)
{
    /// <summary>How well declared figures are known, where trips before taught it; empty for the usual doubts.</summary>
    public ValueList<KitDoubt> Doubts { get; init; } = [];

    /// <summary>What is counted against the kit while nothing is measured; null on the trip.</summary>
    public PlanCaution? Caution { get; init; }

    /// <summary>Paths rolled unless the question says otherwise.</summary>
    public const int DefaultPaths = 10_000;
}
