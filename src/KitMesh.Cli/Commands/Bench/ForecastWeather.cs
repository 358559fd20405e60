using KitMesh.Domain.Kit;
using NodaTime;

namespace KitMesh.Cli.Commands.Bench;

/// <summary>Weather of a world that forecasts are judged in.</summary>
internal interface IForecastWeather
{
    /// <summary>Clear-sky index now.</summary>
    double IndexAt(Instant time);

    /// <summary>Air temperature now, °C.</summary>
    double AirAt(Instant time, Place place);
}
