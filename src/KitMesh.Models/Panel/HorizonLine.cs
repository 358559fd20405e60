using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;

namespace KitMesh.Models.Panel;

/// <summary>The skyline around a place: straight between its points, all the way round.</summary>
/// <remarks>
/// Direct light is cut when the apparent sun stands below the line. Diffuse light loses the share of sky that is hidden from a level plane,
/// the mean of sin² of the line's height (an isotropic sky; view factor of a level plane, any textbook of heat transfer).
/// </remarks>
public sealed class HorizonLine
{
    private readonly double[] _headings;
    private readonly double[] _heights;

    /// <summary>A skyline.</summary>
    /// <param name="points">Its points in any order; none for a flat horizon.</param>
    public HorizonLine(ValueList<HorizonPoint> points)
    {
        ArgumentNullException.ThrowIfNull(points);
        HorizonPoint[] sorted = [.. points.OrderBy(point => Wrap(point.Heading.Value))];
        _headings = [.. sorted.Select(point => Wrap(point.Heading.Value))];
        _heights = [.. sorted.Select(point => point.Height.Value)];
        double hidden = 0;
        for (int heading = 0; heading < 360; heading++)
        {
            double sin = Math.Sin(Math.Max(0, HeightAt(new Degrees(heading + 0.5)).Value) * Math.PI / 180);
            hidden += sin * sin / 360;
        }

        OpenSky = 1 - hidden;
    }

    /// <summary>Share of the sky's diffuse light that a level plane still sees, from 0 to 1.</summary>
    public double OpenSky { get; }

    /// <summary>Height of the skyline at a heading.</summary>
    /// <param name="heading">Clockwise from north.</param>
    public Degrees HeightAt(Degrees heading)
    {
        if (_headings.Length == 0)
        {
            return new Degrees(0);
        }

        double h = Wrap(heading.Value);
        int next = Array.FindIndex(_headings, at => at > h);
        int right = next < 0 ? 0 : next;
        int left = (right + _headings.Length - 1) % _headings.Length;
        double span = Wrap(_headings[right] - _headings[left]);
        double f = span == 0 ? 0 : Wrap(h - _headings[left]) / span;
        return new Degrees(_heights[left] + (f * (_heights[right] - _heights[left])));
    }

    /// <summary>Whether the sun's centre is hidden behind the skyline.</summary>
    /// <param name="apparentElevation">Apparent elevation of the sun.</param>
    /// <param name="azimuth">Clockwise from north.</param>
    public bool Hides(Degrees apparentElevation, Degrees azimuth) => apparentElevation < HeightAt(azimuth);

    private static double Wrap(double degrees) => degrees - (360 * Math.Floor(degrees / 360));
}
