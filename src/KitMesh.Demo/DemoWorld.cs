using KitMesh.Demo.Footage;
using KitMesh.Demo.Power;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Demo;

/// <summary>The scenario's world: everything true, from one seed. Agents see it only through devices, files and typed numbers.</summary>
public sealed class DemoWorld
{
    private readonly Lock _lock = new();
    private readonly Dictionary<KitId, BankTruth> _banks;

    /// <summary>Makes the world before its first day.</summary>
    /// <param name="kit">The kit of the trip file.</param>
    /// <param name="seed">The seed of everything.</param>
    /// <param name="pocket">A folder for cards that are in no slot.</param>
    public DemoWorld(IReadOnlyCollection<KitItem> kit, ulong seed, string pocket)
    {
        ArgumentNullException.ThrowIfNull(kit);
        Scene = new Scene(kit, seed);
        _banks = kit.OfType<Bank>().ToDictionary(bank => bank.Id, bank => new BankTruth(Scene, bank, kit, seed));
        CardTruth[] cards = [.. kit.OfType<Card>().Select(card => new CardTruth(card, pocket))];
        Sources = [.. kit.OfType<FootageSource>().Select(source => new SourceTruth(
            source,
            [.. cards.Where(card => card.Declared.Source == source.Id)],
            isSound: source.CopyRule is { Value: "sound rule" },
            seed))];
        foreach (SourceTruth source in Sources)
        {
            source.PickCard();
        }
    }

    /// <summary>Who is where and when, and the weather.</summary>
    public Scene Scene { get; }

    /// <summary>Cameras and recorders.</summary>
    public IReadOnlyList<SourceTruth> Sources { get; }

    /// <summary>Looks at a bank at a moment; nothing else moves meanwhile.</summary>
    /// <typeparam name="T">What is looked up.</typeparam>
    /// <param name="bank">The bank.</param>
    /// <param name="time">The moment.</param>
    /// <param name="look">Takes what it needs.</param>
    public T Look<T>(KitId bank, Instant time, Func<BankTruth, T> look)
    {
        ArgumentNullException.ThrowIfNull(look);
        lock (_lock)
        {
            BankTruth truth = _banks[bank];
            truth.AdvanceTo(time);
            return look(truth);
        }
    }

    /// <summary>Blows or changes the fuse of a bank's heater at a moment.</summary>
    /// <param name="bank">The bank.</param>
    /// <param name="time">The moment.</param>
    /// <param name="holds">False blows it.</param>
    public void SetHeaterFuse(KitId bank, Instant time, bool holds) => Look(bank, time, truth => truth.HeaterFuseHolds = holds);

    /// <summary>Films one day at every source.</summary>
    /// <param name="day">The day.</param>
    public void FilmDay(LocalDate day)
    {
        Instant morning = Scene.At(day, 8);
        foreach (SourceTruth source in Sources)
        {
            double use = Scene.DayOf(source.Declared.Team, day)?.DayKind switch
            {
                DayKind.Travel => 0.15,
                DayKind.Rest => 0.4,
                _ => Scene.Weather.RegimeAt(morning) == Weather.SkyRegime.Storm ? 0.3 : 1,
            };
            source.FilmDay(morning, use);
        }
    }
}
