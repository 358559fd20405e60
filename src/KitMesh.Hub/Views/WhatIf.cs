using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Hub.Views;

/// <summary>What somebody wants to try out on the energy outlook before doing it.</summary>
/// <param name="Flights">Drone flights a day more than now, from 0 to <see cref="MostFlights"/>; each takes one battery.</param>
/// <param name="NoHeater">The box heaters stay off.</param>
/// <param name="CloudyDays">Days from today with little sun, from 0 to <see cref="MostCloudyDays"/>.</param>
internal sealed record WhatIf(int Flights, bool NoHeater, int CloudyDays)
{
    /// <summary>The most flights a day that can be tried.</summary>
    public const int MostFlights = 6;

    /// <summary>The most cloudy days that can be tried.</summary>
    public const int MostCloudyDays = 7;

    /// <summary>Share of the clear-sky energy that a cloudy day is taken to bring. Own choice.</summary>
    public const double CloudyShare = 0.2;

    private const string Drone = "drone";

    /// <summary>Whether anything is different from now.</summary>
    public bool ChangesAnything => Flights > 0 || NoHeater || CloudyDays > 0;

    /// <summary>From what was asked, brought into range.</summary>
    public static WhatIf Of(string? flights, string? heater, string? cloudy) =>
        new(Math.Clamp(Number(flights), 0, MostFlights), heater == "no", Math.Clamp(Number(cloudy), 0, MostCloudyDays));

    /// <summary>Whether a device counts as a drone: the trip file tells no more than its name.</summary>
    public static bool IsDrone(Load load) => load.Battery is { Value: > 0 } && load.Id.Value.Contains(Drone, StringComparison.OrdinalIgnoreCase);

    /// <summary>The question with the change in it.</summary>
    /// <param name="question">The question as things are.</param>
    /// <param name="today">The crew's civil day.</param>
    /// <param name="paths">Paths to roll.</param>
    public EnergyQuestion Change(EnergyQuestion question, LocalDate today, int paths)
    {
        IEnumerable<KitItem> kit = question.Kit.Select(item => item is Box box && NoHeater ? box with { Heater = new Watts(0) } : item);
        if (Flights > 0)
        {
            kit = kit.Concat(question.Kit.OfType<Load>().Where(IsDrone).Select(MoreFlights));
        }

        SkyForecast[] clouds =
        [
            .. question.Kit.OfType<Place>().SelectMany(place => Enumerable.Range(0, CloudyDays).Select(day => new SkyForecast(place.Id, today.PlusDays(day), CloudyShare, null, null, 1))),
        ];
        var days = clouds.Select(cloud => (cloud.Place, cloud.Day)).ToHashSet();
        return question with
        {
            Kit = kit.ToValueList(),
            Forecast = question.Forecast.Where(told => !days.Contains((told.Place, told.Day))).Concat(clouds).ToValueList(),
            Paths = paths,
        };
    }

    private static int Number(string? text) =>
        int.TryParse(text, System.Globalization.NumberStyles.None, System.Globalization.CultureInfo.InvariantCulture, out int number) ? number : 0;

    // A load of its own: what was learnt of the drone's ordinary day stays as it is.
    private Load MoreFlights(Load drone) => drone with
    {
        Id = KitId.Parse("flights added to " + drone.Id.Value[..Math.Min(drone.Id.Value.Length, 40)].Trim()),
        PerDay = new WattHours(Flights * drone.Battery!.Value.Value),
        Spread = 0,
        Battery = null,
        Charger = null,
    };
}
