using KitMesh.Domain;
using KitMesh.Domain.Digest;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Tests.Digest;

/// <summary>Draws what a line can say, on the line's own grid, from a seed.</summary>
internal sealed class DigestDraw(int seed)
{
    private readonly Random _random = new(seed);

    public static DigestContent Full(int seed) => new DigestDraw(seed).Content(7, 15, 7, 31, footage: true);

    public DigestContent Content() => Content(_random.Next(8), _random.Next(16), _random.Next(8), _random.Next(32), _random.Next(4) > 0);

    private DigestContent Content(int banks, int alerts, int drives, int days, bool footage) => new(
        Instant.FromUtc(2020, 1, 1, 0, 0) + Duration.FromMinutes(5L * _random.Next(1 << 24)),
        Tag(),
        Many(banks, Bank),
        _random.Next(2) == 0,
        _random.Next(16),
        _random.Next(32),
        _random.Next(32),
        Many(alerts, () => new DigestAlert(Tag(), Tag(), (AlertWeight)_random.Next(3), LineLadders.Hours[_random.Next(32)])),
        footage ? new DigestFootage(_random.Next(64), _random.Next(16), _random.Next(16), _random.Next(64), Chance(), Chance(), Chance(), Chance(), Many(drives, Drive)) : null,
        Many(days, () => new DigestDay(Chance(), Thirtieth(), Thirtieth())));

    private DigestBank Bank() => new(
        Tag(),
        Maybe(() => new StateOfCharge(_random.Next(101) / 100.0)),
        _random.Next(16) * 0.03,
        Chance(),
        Chance(),
        Chance(),
        Maybe(() => _random.Next(63)),
        Maybe(() => new WattHours(_random.Next(1023) * 10)),
        (ChargeReadinessState)_random.Next(5),
        Maybe(() => new Celsius(_random.Next(-63, 64))));

    private DigestDrive Drive() => new(Tag(), Maybe(() => _random.Next(63)), Chance());

    private NameTag Tag() => new(_random.Next(1024));

    private Probability? Chance() => LineLadders.Chance(_random.Next(32));

    private StateOfCharge? Thirtieth() => Maybe(() => new StateOfCharge(_random.Next(31) / 30.0));

    private T? Maybe<T>(Func<T> draw)
        where T : struct => _random.Next(6) == 0 ? null : draw();

    private static ValueList<T> Many<T>(int count, Func<T> draw) => Enumerable.Range(0, count).Select(_ => draw()).ToValueList();
}
