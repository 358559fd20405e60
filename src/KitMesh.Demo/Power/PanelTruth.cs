using KitMesh.Demo.Chance;
using KitMesh.Demo.Weather;
using KitMesh.Domain.Kit;

namespace KitMesh.Demo.Power;

/// <summary>One panel: what the light of the moment makes of it.</summary>
public sealed class PanelTruth
{
    private readonly double _derate;

    internal PanelTruth(Panel panel, ulong seed)
    {
        Declared = panel;
        var chance = new SeededChance(seed, $"panel {panel.Id}");
        _derate = Math.Clamp(panel.Derate * chance.Factor(0.06), 0.3, 0.98);
    }

    /// <summary>What the trip file says of it.</summary>
    public Panel Declared { get; }

    /// <summary>What its share of the rated power really is.</summary>
    public double Derate => _derate;

    /// <summary>Power into the controller.</summary>
    public double Watts { get; private set; }

    /// <summary>Voltage at the controller's input.</summary>
    public double Volts { get; private set; }

    /// <summary>Energy counter of the controller's input.</summary>
    public double YieldWattHours { get; private set; }

    /// <summary>Hours in the sun today.</summary>
    public double SunHours { get; private set; }

    /// <summary>Power it could give now.</summary>
    internal double OfferWatts { get; private set; }

    internal void Look(Place place, SunPlace sun, double clearSkyShare, double airCelsius, bool stands)
    {
        double skyline = HeightOfSkyline(place, sun.HeadingDegrees);
        double level = SunTruth.ClearSkyWattsPerSquareMetre(sun, place.Altitude.Value) * clearSkyShare;
        if (!stands || level <= 0)
        {
            (OfferWatts, Volts) = (0, 0);
            return;
        }

        double height = sun.HeightDegrees * Math.PI / 180;
        double tilt = Declared.Tilt.Radians;
        double diffuseShare = Math.Clamp(1.05 - (0.95 * clearSkyShare), 0.12, 1);
        double beam = sun.HeightDegrees > skyline ? Math.Min(1050, level * (1 - diffuseShare) / Math.Max(0.05, Math.Sin(height))) : 0;
        double incidence = (Math.Sin(height) * Math.Cos(tilt))
            + (Math.Cos(height) * Math.Sin(tilt) * Math.Cos((sun.HeadingDegrees - Declared.Heading.Value) * Math.PI / 180));
        double onPanel = (beam * Math.Max(0, incidence))
            + (level * diffuseShare * (1 + Math.Cos(tilt)) / 2)
            + (level * place.Albedo * (1 - Math.Cos(tilt)) / 2);
        double cellCelsius = airCelsius + (0.028 * onPanel);
        OfferWatts = Declared.Rated.Value * onPanel / 1000 * (1 + (Declared.TemperatureCoefficient * (cellCelsius - 25))) * _derate;
        Volts = (Declared.OpenCircuit?.Value ?? 22) * 0.82 * (1 - (0.0028 * (cellCelsius - 25)));
    }

    internal void Take(double share, double hours, bool newDay)
    {
        Watts = OfferWatts * share;
        YieldWattHours += Watts * hours;
        SunHours = (newDay ? 0 : SunHours) + (OfferWatts > Declared.Rated.Value * 0.15 ? hours : 0);
    }

    private static double HeightOfSkyline(Place place, double headingDegrees)
    {
        if (place.Horizon.Count == 0)
        {
            return 0;
        }

        HorizonPoint before = place.Horizon[^1];
        HorizonPoint after = place.Horizon[0];
        double beforeAt = before.Heading.Value - 360;
        foreach (HorizonPoint point in place.Horizon)
        {
            after = point;
            if (point.Heading.Value >= headingDegrees)
            {
                break;
            }

            (before, beforeAt) = (point, point.Heading.Value);
        }

        double afterAt = after.Heading.Value;
        if (afterAt < headingDegrees)
        {
            (after, afterAt) = (place.Horizon[0], place.Horizon[0].Heading.Value + 360);
        }

        double span = afterAt - beforeAt;
        double share = span <= 0 ? 0 : (headingDegrees - beforeAt) / span;
        return before.Height.Value + ((after.Height.Value - before.Height.Value) * share);
    }
}
