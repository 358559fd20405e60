using KitMesh.Alerts;
using KitMesh.Alerts.Inputs;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Agent.Guard;

// Safety does not need the network: these rules run on the agent that reads the pack, and see every sample before the
// deadbands. Times are monotonic ones of this boot, laid on a fixed day: a dead clock that is set forward by years must
// not make every value look old, and no rule of the guard looks at the calendar.

/// <summary>Judges the packs that this agent reads, at each reading. It warns; it switches nothing.</summary>
internal sealed class PackGuard
{
    private static readonly Instant Day = Instant.FromUtc(2000, 1, 1, 0, 0);

    private readonly Dictionary<KitId, Pack> _packs;
    private readonly Dictionary<KitId, PackPicture> _pictures = [];
    private AlertBook _book = AlertBook.Empty;

    public PackGuard(IReadOnlyList<Pack> packs)
    {
        _packs = packs.ToDictionary(p => p.Id);
        foreach (KitId bank in packs.Select(p => p.Bank).OfType<KitId>().Distinct())
        {
            if (!_packs.ContainsKey(bank) && BankAsPack.From(bank, packs) is { } whole)
            {
                _packs[bank] = whole;
            }
        }
    }

    /// <summary>What stands.</summary>
    public IReadOnlyList<Alert> Standing => _book.Standing;

    /// <summary>Judges one reading.</summary>
    /// <returns>What was raised or cleared by it.</returns>
    public IReadOnlyList<AlertChange> See(BatteryReading reading, long monotonicNanoseconds)
    {
        if (!_packs.TryGetValue(reading.Pack, out Pack? pack))
        {
            return [];
        }

        Instant now = Day + Duration.FromNanoseconds(monotonicNanoseconds);
        PackPicture picture = _pictures.TryGetValue(reading.Pack, out PackPicture? before) ? before.With(reading, now) : PackPicture.From(reading, now);
        _pictures[reading.Pack] = picture;
        _book = _book.Step(AlertCatalogue.Guard, new AlertInputs(now) { Packs = [picture.At(pack, now)] }, out IReadOnlyList<AlertChange> changes);
        return [.. changes.Where(c => c.Phase != AlertPhase.Stands)];
    }
}
