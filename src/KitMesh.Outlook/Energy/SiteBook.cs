using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Models.Panel;
using KitMesh.Models.Sun;
using NodaTime;

namespace KitMesh.Outlook.Energy;

/// <summary>Sun and sky of each place that the outlook touches, made once.</summary>
internal sealed class SiteBook
{
    private readonly Dictionary<KitId, PanelSite> _sites = [];
    private readonly Dictionary<(KitId Place, LocalDate Day), SunDay> _days = [];
    private readonly Instant _from;
    private readonly Instant _to;

    internal SiteBook(Instant from, Instant to)
    {
        _from = from - Duration.FromDays(2);
        _to = to + Duration.FromDays(2);
    }

    /// <summary>Stands in for a place that is not declared: no sun is counted on there.</summary>
    internal static readonly Place Nowhere = new(
        KitBook.Named("undeclared place"), new(0), new(0), new(0), new(-20), new(-5), 0.5, 0.2, ValueList<HorizonPoint>.Empty);

    internal PanelSite Of(Place place)
    {
        if (!_sites.TryGetValue(place.Id, out PanelSite? site))
        {
            site = new PanelSite(place, _from, _to);
            _sites.Add(place.Id, site);
        }

        return site;
    }

    internal bool Covers(Instant time) => time >= _from && time <= _to;

    /// <summary>When a team's panels stand on a day; never at a place that is not known.</summary>
    internal PanelWindow Window(KitBook kit, KitId team, LocalDate date)
    {
        Place place = kit.PlaceOf(team, date) ?? Nowhere;
        PanelWindow window = PanelWindow.Of(Day(place, date), kit.KindOf(team, date), kit.DayOf(team, date)?.PanelHours);
        return place == Nowhere ? window with { CanStand = false } : window;
    }

    internal SunDay Day(Place place, LocalDate day)
    {
        if (!_days.TryGetValue((place.Id, day), out SunDay sun))
        {
            sun = SunEvents.Around(day, place.Latitude, place.Longitude);
            _days.Add((place.Id, day), sun);
        }

        return sun;
    }

    /// <summary>Whether the numbers of a place are inside what the models are made for.</summary>
    internal static bool InRange(Place place) =>
        place.Latitude.Value is >= -90 and <= 90 && place.Longitude.Value is >= -180 and <= 180 && place.Altitude.Value is >= -450 and <= 8_850
        && place.NightTemperature.IsPhysical && place.DayTemperature.IsPhysical && place.Albedo is >= 0 and <= 1 && place.ClearSkyShare is > 0 and <= 1.2;
}
