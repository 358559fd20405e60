using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Outlook.Energy;

/// <summary>Every path's state of charge at the end of each day: what back-tests score.</summary>
/// <param name="FirstDay">Civil day of the first entry.</param>
/// <param name="EndFractions">By day, then path; 0 is empty and 1 is full.</param>
/// <param name="HarvestWattHours">By day, then path.</param>
public sealed record EnergyEnsemble(LocalDate FirstDay, IReadOnlyList<double[]> EndFractions, IReadOnlyList<double[]> HarvestWattHours)
{
    /// <summary>State of charge at each day's lowest moment, by day, then path.</summary>
    public IReadOnlyList<double[]> LowestFractions { get; private init; } = [];

    /// <summary>Energy that the loads took, by day, then path.</summary>
    public IReadOnlyList<double[]> LoadWattHours { get; private init; } = [];

    /// <summary>Energy that the heater took, by day, then path.</summary>
    public IReadOnlyList<double[]> HeaterWattHours { get; private init; } = [];

    /// <summary>The ensemble of one bank.</summary>
    /// <param name="question">Declared kit and readings.</param>
    /// <param name="bank">The bank.</param>
    /// <param name="learn">False leaves all readings but the latest state out of the models.</param>
    /// <returns>The ensemble, or null when the bank cannot be computed.</returns>
    public static EnergyEnsemble? Of(EnergyQuestion question, KitId bank, bool learn)
    {
        ArgumentNullException.ThrowIfNull(question);
        var assumptions = new List<EnergyAssumption>();
        var kit = new KitBook(question.Kit, question.Now, assumptions);
        if (kit.Banks.FirstOrDefault(one => one.Id == bank) is not { } declared || BankKit.Of(declared, kit, assumptions) is not { } found)
        {
            return null;
        }

        var readings = new ReadingBook(question.Readings, question.Now);
        var sites = new SiteBook(readings.First, kit.StartOf(kit.LastDay.PlusDays(1)));
        BankCases cases = EnergyForecaster.Prepare(found, kit, sites, readings, question, learn, assumptions);
        int paths = Math.Max(8, question.Paths / 8 * 8);
        PathTrace trace = PathEngine.Run(cases.Coarse(cases.Beliefs.Heater), question.Seed, paths, keepPaths: true).Trace!;
        return new EnergyEnsemble(kit.Today, Split(trace.EndFraction, paths), Split(trace.HarvestWh, paths))
        {
            LowestFractions = Split(trace.LowestFraction, paths),
            LoadWattHours = Split(trace.LoadWh, paths),
            HeaterWattHours = Split(trace.HeaterWh, paths),
        };
    }

    private static double[][] Split(double[] flat, int paths) => [.. flat.Chunk(paths)];
}
