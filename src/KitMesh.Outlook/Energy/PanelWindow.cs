using KitMesh.Domain.Kit;
using KitMesh.Models.Sun;
using NodaTime;

namespace KitMesh.Outlook.Energy;

/// <summary>When panels stand on one day: between sunrise and sunset, in the hours somebody is there, and not on travel and storm days.</summary>
internal readonly record struct PanelWindow(bool CanStand, Instant From, Instant Until)
{
    internal static PanelWindow Of(SunDay sun, DayKind kind, double? hours)
    {
        bool dark = sun.State == SunDayState.PolarNight;
        if (dark || kind is DayKind.Travel or DayKind.Storm || hours is <= 0)
        {
            return new PanelWindow(false, sun.Transit, sun.Transit);
        }

        Duration half = hours is { } h ? Duration.FromHours(Math.Min(24, h) / 2) : Duration.FromHours(12);
        Instant from = sun.Transit - half;
        Instant until = sun.Transit + half;
        return new PanelWindow(
            true,
            sun.Sunrise is { } rise && rise > from ? rise : from,
            sun.Sunset is { } set && set < until ? set : until);
    }

    internal bool Holds(Instant time) => CanStand && time >= From && time < Until;
}
