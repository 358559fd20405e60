using KitMesh.Domain.Kit;
using NodaTime;

namespace KitMesh.Cli.Commands.Bench;

// Problem: a back-test in the model's own weather proves nothing.
// Method: another family: spells of settled, mixed and storm weather with lengths drawn at random (a semi-Markov chain), each with its own sky and
// temperature; cloud changes by the hour; fronts cool the air after a storm. No AR(1), no logit-normal. Invented figures, no published source.

/// <summary>Weather in spells with storms.</summary>
internal sealed class RegimeWeather : IForecastWeather
{
    private readonly Dictionary<int, (double Sky, double Air, double Rough)> _days = [];
    private readonly Instant _start;
    private readonly ulong _seed;

    public RegimeWeather(ulong seed, Instant start, int days, double meanShift)
    {
        _seed = seed;
        _start = start;
        double air = 0;
        int day = -3;
        int spell = (int)(Uniform(0, 1) * 3);
        for (int n = 0; day < days + 3; n++)
        {
            // Settled weather holds three days or so, storms one or two; after settled comes mixed, after a storm mostly settled.
            double u = Uniform(n, 2);
            int length = spell switch { 0 => 1 + (int)(u * 5), 1 => 1 + (int)(u * 3), _ => 1 + (int)(u * 2.2) };
            for (int i = 0; i < length; i++, day++)
            {
                double v = Uniform(day + 1_000, 3);
                double sky = spell switch { 0 => 0.82 + (0.2 * v), 1 => 0.4 + (0.5 * v), _ => 0.08 + (0.28 * v * v) };
                double pull = spell switch { 0 => -1.5, 1 => 1, _ => 3 };
                air = (0.6 * air) + pull + ((Uniform(day + 1_000, 4) - 0.5) * 6) - (spell == 0 && i == 0 ? 4 : 0);
                _days[day] = (Math.Clamp(sky + meanShift, 0.05, 1.03), air, spell == 1 ? 0.25 : 0.06);
            }

            double w = Uniform(n, 5);
            spell = spell switch { 0 => w < 0.75 ? 1 : 2, 1 => w < 0.55 ? 0 : 2, _ => w < 0.6 ? 0 : 1 };
        }
    }

    public double IndexAt(Instant time)
    {
        (double sky, _, double rough) = _days[Day(time)];
        double hourly = Uniform((int)Math.Floor((time - _start).TotalHours), 6) - 0.5;
        return Math.Clamp(sky + (2 * rough * hourly), 0.03, 1.05);
    }

    public double AirAt(Instant time, Place place)
    {
        double hours = (time - _start).TotalHours;
        double hour = hours - (24 * Math.Floor(hours / 24));
        (double sky, double air, _) = _days[Day(time)];
        double mean = (place.NightTemperature.Value + place.DayTemperature.Value) / 2;
        double swing = (place.DayTemperature.Value - place.NightTemperature.Value) / 2 * (0.45 + (0.6 * sky));
        return mean + air + (swing * Math.Cos((hour - 15) * Math.PI / 12));
    }

    private int Day(Instant time) => (int)Math.Floor((time - _start).TotalDays);

    private double Uniform(int n, int what)
    {
        ulong z = _seed + (0x9E3779B97F4A7C15UL * (ulong)(uint)n) + (0xD1B54A32D192ED03UL * (ulong)what);
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9UL;
        z = (z ^ (z >> 27)) * 0x94D049BB133111EBUL;
        return ((z ^ (z >> 31)) >> 11) * (1.0 / (1UL << 53));
    }
}
