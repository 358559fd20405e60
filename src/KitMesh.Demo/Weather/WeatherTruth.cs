using KitMesh.Demo.Chance;
using NodaTime;

namespace KitMesh.Demo.Weather;

/// <summary>The weather that really happens at all places: one regime over the range, local scatter at each place.</summary>
/// <remarks>
/// Problem: outlooks are tested against this weather, so it must not be of the family that they assume. Method: a
/// semi-Markov chain of regimes with drawn lengths (storms last from half a day to three days), inside a regime a slow
/// random walk of the clear-sky share; temperature is a daily wave between the place's night and day values, shifted by
/// regime and by a walk of its own (clear nights colder, storms without much of a wave). Figures are invented.
/// </remarks>
public sealed class WeatherTruth
{
    private static readonly Duration Slice = Duration.FromMinutes(30);

    private readonly Instant _start;
    private readonly SkyRegime[] _regimes;
    private readonly double[] _share;
    private readonly double[] _shiftCelsius;

    /// <summary>Draws the weather of the whole trip.</summary>
    /// <param name="seed">The scenario's seed.</param>
    /// <param name="start">First moment.</param>
    /// <param name="length">How long.</param>
    public WeatherTruth(ulong seed, Instant start, Duration length)
    {
        _start = start;
        int slices = (int)(length.TotalMinutes / Slice.TotalMinutes) + 1;
        _regimes = new SkyRegime[slices];
        _share = new double[slices];
        _shiftCelsius = new double[slices];
        var chance = new SeededChance(seed, "weather");
        DrawRegimes(chance);
        DrawSky(chance);
    }

    /// <summary>The regime at a moment.</summary>
    /// <param name="time">The moment.</param>
    public SkyRegime RegimeAt(Instant time) => _regimes[IndexOf(time)];

    /// <summary>Share of the clear-sky energy that arrives, from 0 to 1.</summary>
    /// <param name="time">The moment.</param>
    public double ClearSkyShareAt(Instant time) => _share[IndexOf(time)];

    /// <summary>Air temperature.</summary>
    /// <param name="time">The moment.</param>
    /// <param name="nightCelsius">The place's typical coldest.</param>
    /// <param name="dayCelsius">The place's typical warmest.</param>
    /// <param name="solarHour">Hour of the place's solar day, 0 to 24.</param>
    public double AirCelsiusAt(Instant time, double nightCelsius, double dayCelsius, double solarHour)
    {
        int index = IndexOf(time);
        double middle = (nightCelsius + dayCelsius) / 2;
        double half = (dayCelsius - nightCelsius) / 2;
        double wave = _regimes[index] switch
        {
            SkyRegime.Clear => 1.0,
            SkyRegime.Broken => 0.85,
            SkyRegime.Overcast => 0.5,
            _ => 0.25,
        };

        // Warmest about 14:30, coldest before dawn.
        return middle + (half * wave * Math.Cos((solarHour - 14.5) / 24 * 2 * Math.PI)) + _shiftCelsius[index];
    }

    private static SkyRegime Following(SkyRegime regime, SeededChance chance)
    {
        double share = chance.Share();
        return regime switch
        {
            SkyRegime.Clear => share < 0.7 ? SkyRegime.Broken : share < 0.9 ? SkyRegime.Overcast : SkyRegime.Storm,
            SkyRegime.Broken => share < 0.5 ? SkyRegime.Clear : share < 0.85 ? SkyRegime.Overcast : SkyRegime.Storm,
            SkyRegime.Overcast => share < 0.4 ? SkyRegime.Broken : share < 0.6 ? SkyRegime.Clear : SkyRegime.Storm,
            _ => share < 0.45 ? SkyRegime.Overcast : share < 0.8 ? SkyRegime.Broken : SkyRegime.Clear,
        };
    }

    private static double LengthHours(SkyRegime regime, SeededChance chance) => regime switch
    {
        SkyRegime.Clear => chance.Between(18, 84),
        SkyRegime.Broken => chance.Between(8, 36),
        SkyRegime.Overcast => chance.Between(8, 40),
        _ => chance.Between(12, 72),
    };

    private void DrawRegimes(SeededChance chance)
    {
        var regime = SkyRegime.Clear;
        int at = 0;
        while (at < _regimes.Length)
        {
            int slices = (int)(LengthHours(regime, chance) * 60 / Slice.TotalMinutes);
            _regimes.AsSpan(at, Math.Min(slices, _regimes.Length - at)).Fill(regime);
            at += slices;
            regime = Following(regime, chance);
        }
    }

    private void DrawSky(SeededChance chance)
    {
        double walk = 0;
        double shift = 0;
        for (int i = 0; i < _regimes.Length; i++)
        {
            (double mean, double spread) = _regimes[i] switch
            {
                SkyRegime.Clear => (0.97, 0.03),
                SkyRegime.Broken => (0.72, 0.18),
                SkyRegime.Overcast => (0.34, 0.1),
                _ => (0.12, 0.05),
            };
            walk = (0.9 * walk) + (Math.Sqrt(1 - (0.9 * 0.9)) * chance.Normal());
            _share[i] = Math.Clamp(mean + (spread * walk), 0.03, 1);
            double pull = _regimes[i] == SkyRegime.Storm ? 2 : 0;
            shift = (0.99 * shift) + (0.01 * pull) + (0.42 * chance.Normal());
            _shiftCelsius[i] = shift;
        }
    }

    private int IndexOf(Instant time) => Math.Clamp((int)((time - _start).TotalMinutes / Slice.TotalMinutes), 0, _regimes.Length - 1);
}
