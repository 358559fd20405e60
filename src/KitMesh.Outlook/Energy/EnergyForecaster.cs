using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Outlook.Energy;

// The question: will the energy last to the last day, for every bank. Declared kit and readings go in; what is believed is worked out (StartState,
// BankBeliefs), turned into numbers (BankCases, StepBuilder), rolled (PathEngine) and put into words (BankAnswer). Pure: the same question gives the
// same answer bit for bit. Nothing is refused for being odd: what is missing or not believed is assumed, said so, and widens the answer.

/// <summary>Answers whether the energy lasts.</summary>
public static class EnergyForecaster
{
    /// <summary>The energy outlook.</summary>
    /// <param name="question">Declared kit and readings.</param>
    /// <param name="learn">False leaves every reading but the latest state out of the models: for comparing learning with not learning.</param>
    /// <exception cref="ArgumentOutOfRangeException">Fewer than one path.</exception>
    /// <remarks>
    /// Takes about 0.2 to 0.5 s a bank and trip of four weeks on one core. Method in docs/models/outlook.md.
    /// </remarks>
    public static EnergyOutlook Answer(EnergyQuestion question, bool learn = true)
    {
        ArgumentNullException.ThrowIfNull(question);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(question.Paths);
        var general = new List<EnergyAssumption>();
        var kit = new KitBook(question.Kit, question.Now, general);
        var readings = new ReadingBook(question.Readings, question.Now);
        Instant from = readings.First > question.Now - Duration.FromDays(120) ? readings.First : question.Now - Duration.FromDays(120);
        Instant until = kit.StartOf(kit.LastDay.PlusDays(1));

        // Banks share only what is read here, and each has sites of its own: side by side they give the same bits as one after another.
        var banks = new BankOutlook?[kit.Banks.Count];
        var left = new List<EnergyAssumption>[kit.Banks.Count];
        Parallel.For(0, banks.Length, i =>
        {
            left[i] = [];
            if (BankKit.Of(kit.Banks[i], kit, left[i]) is { } bank)
            {
                var sites = new SiteBook(from, until);
                BankCases cases = Prepare(bank, kit, sites, readings, question, learn, left[i]);
                banks[i] = BankAnswer.Of(cases, kit, sites, readings, question, left[i]);
            }
        });
        general.AddRange(left.Where((_, i) => banks[i] is null).SelectMany(said => said));
        var run = new OutlookRun(PathRandom.Name, question.Seed, RoundUp(question.Paths), Duration.FromMinutes(15));
        return new EnergyOutlook(question.Now, kit.LastDay, banks.OfType<BankOutlook>().ToValueList(), general.ToValueList(), run);
    }

    internal static BankCases Prepare(
        BankKit bank, KitBook kit, SiteBook sites, ReadingBook readings, EnergyQuestion question, bool learn, List<EnergyAssumption> assumptions)
    {
        StartState start = StartState.Of(bank, readings, question.Now, assumptions);
        BankBeliefs beliefs = BankBeliefs.Of(bank, kit, sites, readings, question.Now, learn, assumptions, question.Doubts, question.Caution);
        double capacity = learn ? start.CapacityFactor : question.Caution?.CapacityShare ?? 1;
        return new BankCases(bank.Faded(capacity), beliefs, start, kit, sites, question);
    }

    private static int RoundUp(int paths) => (paths + PathEngine.Lanes - 1) / PathEngine.Lanes * PathEngine.Lanes;
}
