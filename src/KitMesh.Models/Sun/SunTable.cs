using KitMesh.Domain.Quantities;
using NodaTime;

namespace KitMesh.Models.Sun;

// Problem: an outlook asks for thousands of positions at one site; the full sum of periodic terms costs microseconds each.
// Trap: interpolating elevation and azimuth themselves fails near the zenith and at north.
// Method: tabulate what moves slowly (declination, distance, and the hour angle's departure from a straight line) every six
// hours and interpolate that with a cubic through four nodes; the place's trigonometry stays exact.
// Check: SunTableTests (within 0.0001° of the full algorithm).

/// <summary>A cached sun for one site and span of time.</summary>
public sealed class SunTable
{
    private const double NodeSeconds = 21_600;

    // Mean advance of the hour angle: sidereal rotation less the sun's mean motion, so that what remains is small.
    private const double DegreesPerSecond = 360.0 / 86_400;

    private readonly SunSite _site;
    private readonly double _firstNode;
    private readonly double[] _declination;
    private readonly double[] _hourRest;
    private readonly double[] _distance;

    /// <summary>Tabulates the sun.</summary>
    /// <param name="site">The place and its air.</param>
    /// <param name="from">First instant that will be asked for.</param>
    /// <param name="to">Last instant that will be asked for.</param>
    /// <param name="deltaT">Terrestrial minus universal time; null for <see cref="SolarPosition.DefaultDeltaT"/>.</param>
    /// <exception cref="ArgumentOutOfRangeException">The site is out of range, or the span is negative or beyond ten years.</exception>
    public SunTable(SunSite site, Instant from, Instant to, Duration? deltaT = null)
    {
        site.Check();
        ArgumentOutOfRangeException.ThrowIfLessThan(to, from);
        ArgumentOutOfRangeException.ThrowIfGreaterThan((to - from).TotalDays, 3_660);
        _site = site;
        double first = SolarPosition.UnixSeconds(from);
        _firstNode = (Math.Floor(first / NodeSeconds) - 1) * NodeSeconds;
        int nodes = (int)Math.Ceiling((SolarPosition.UnixSeconds(to) - _firstNode) / NodeSeconds) + 3;
        _declination = new double[nodes];
        _hourRest = new double[nodes];
        _distance = new double[nodes];
        Fill((deltaT ?? SolarPosition.DefaultDeltaT).TotalSeconds);
        From = from;
        To = to;
    }

    /// <summary>First instant that the table answers for.</summary>
    public Instant From { get; }

    /// <summary>Last instant that the table answers for.</summary>
    public Instant To { get; }

    /// <summary>Position of the sun.</summary>
    /// <param name="time">An instant inside the table's span.</param>
    /// <exception cref="ArgumentOutOfRangeException">The instant lies outside.</exception>
    public SunPosition At(Instant time)
    {
        if (time < From || time > To)
        {
            throw new ArgumentOutOfRangeException(nameof(time), time, "Outside the span that was tabulated.");
        }

        double seconds = SolarPosition.UnixSeconds(time) - _firstNode;
        double x = seconds / NodeSeconds;
        int node = Math.Min((int)x, _declination.Length - 3);
        double f = x - node;
        double declination = Cubic(_declination, node, f);
        double distance = Cubic(_distance, node, f);
        double rest = Cubic(_hourRest, node, f);
        double hour = rest + (seconds * DegreesPerSecond) + _site.Longitude.Value;
        SpaLocal local = Spa.Locate(
            hour, 0, declination, 8.794 / (3600 * distance), _site.Latitude.Value, _site.Elevation.Value, _site.Pressure.Value, _site.Temperature.Value);

        // The equation of time is the rest seen from local mean time at longitude zero.
        double meanHour = Spa.Wrap360(hour - _site.Longitude.Value);
        double utcHour = Spa.Wrap360(((_firstNode + seconds) % 86_400 * DegreesPerSecond) + 180);
        double equation = Spa.Wrap360(meanHour - utcHour + 180) - 180;
        return new SunPosition(
            new Degrees(local.E0), new Degrees(local.E), new Degrees(local.AzimuthFromNorth), distance, Duration.FromSeconds(equation * 240));
    }

    private void Fill(double deltaTSeconds)
    {
        double previous = 0;
        for (int i = 0; i < _declination.Length; i++)
        {
            double seconds = i * NodeSeconds;
            SpaState s = Spa.At(Spa.JulianDay(_firstNode + seconds), deltaTSeconds);
            double rest = Spa.Wrap360(s.Nu - s.Alpha - (seconds * DegreesPerSecond));
            if (i > 0)
            {
                rest = previous + (Spa.Wrap360(rest - previous + 180) - 180);
            }

            previous = rest;
            _hourRest[i] = rest;
            _declination[i] = s.Delta;
            _distance[i] = s.R;
        }
    }

    // Lagrange through the nodes at -1, 0, 1 and 2.
    private static double Cubic(double[] y, int node, double f)
    {
        double a = y[node - 1];
        double b = y[node];
        double c = y[node + 1];
        double d = y[node + 2];
        return b + (f * (((-a / 3) - (b / 2) + c - (d / 6)) + (f * (((a + c) / 2) - b + (f * (((d - a) / 6) + ((b - c) / 2)))))));
    }
}
