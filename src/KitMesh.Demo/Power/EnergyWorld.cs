using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Demo.Power;

/// <summary>The energy of the scenario's world alone, for playing many trips quickly: no files, no devices, no faults.</summary>
public sealed class EnergyWorld
{
    private readonly Dictionary<KitId, BankTruth> _banks;

    /// <summary>Makes a world before its first day.</summary>
    /// <param name="kit">The kit of the trip file.</param>
    /// <param name="kitSeed">What the kit really does: the same gear on two trips has the same.</param>
    /// <param name="tripSeed">Weather and days of this trip.</param>
    public EnergyWorld(IReadOnlyCollection<KitItem> kit, ulong kitSeed, ulong tripSeed)
    {
        ArgumentNullException.ThrowIfNull(kit);
        Scene = new Scene(kit, tripSeed);
        _banks = kit.OfType<Bank>().ToDictionary(bank => bank.Id, bank => new BankTruth(Scene, bank, kit, kitSeed, tripSeed));
    }

    /// <summary>Who is where and when, and the weather.</summary>
    public Scene Scene { get; }

    /// <summary>A bank at a moment, in order of time.</summary>
    /// <param name="bank">The bank.</param>
    /// <param name="time">The moment.</param>
    public BankTruth At(KitId bank, Instant time)
    {
        BankTruth truth = _banks[bank];
        truth.AdvanceTo(time);
        return truth;
    }
}
