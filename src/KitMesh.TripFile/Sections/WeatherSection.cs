using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.TripFile.Keys;
using KitMesh.TripFile.Reading;
using NodaTime;

namespace KitMesh.TripFile.Sections;

/// <summary><c>weather:</c> becomes <see cref="WeatherLine"/>.</summary>
internal sealed class WeatherSection() : Section("weather", "A forecast, one line a place and day. What somebody says later with kitmesh forecast goes before it.")
{
    private static readonly UseKey Where = new("place", "base camp", "The place.", true, KitKind.Place);
    private static readonly DayKey Day = new("on", "The day.");
    private static readonly NumberKey Sky = new("sky", 0, 1, 0.4, "Share of the clear-sky energy that is expected: 1 cloudless, 0.2 dark clouds.");
    private static readonly QuantityKey Night = new("night", UnitFamily.Temperature, -70, 45, -24, "Expected lowest temperature. Without the key: the place's.", required: false);
    private static readonly QuantityKey DayTime = new("day", UnitFamily.Temperature, -60, 55, -9, "Expected highest temperature. Without the key: the place's.", required: false);
    private static readonly NumberKey Trust = new("trust", 0, 1, 0.6, "How far it counts against climate and the days before: 0 not at all, 1 wholly.", standard: 0.6);

    public override IReadOnlyList<TripKey> Keys { get; } = [Where, Day, Sky, Night, DayTime, Trust];

    protected override void Read(TripEntry entry)
    {
        KitId place = entry.Get(Where);
        LocalDate day = entry.Get(Day);
        double sky = entry.Get(Sky);
        double? night = entry.Optional(Night);
        double? dayTime = entry.Optional(DayTime);
        double trust = entry.Get(Trust, Trust.Standard);
        if (entry.IsSound && night > dayTime)
        {
            entry.Error(Night.Name, "The night would be warmer than the day.", "Exchange night and day, or look for a lost minus.");
        }

        if (entry.IsSound && place.Value.Length > WeatherLine.MaxPlaceLength)
        {
            entry.Error(Where.Name, "The place's name is too long for a forecast.", $"Use at most {WeatherLine.MaxPlaceLength} characters.");
        }

        if (!entry.IsSound)
        {
            return;
        }

        var line = new WeatherLine(
            place, day, sky, night is { } low ? new Celsius(low) : null, dayTime is { } high ? new Celsius(high) : null, trust, Said: false);
        entry.Ledger.Declare(KitKind.WeatherLine, line.Id, entry.Line, entry.Path);
        entry.Add(() => line);
    }
}
