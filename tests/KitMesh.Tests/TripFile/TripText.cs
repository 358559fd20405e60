using KitMesh.Domain.Kit;
using KitMesh.TripFile;

namespace KitMesh.Tests.TripFile;

/// <summary>Small trip files for tests, and the shipped ones.</summary>
internal static class TripText
{
    /// <summary>The least file that is sound.</summary>
    public const string Least = """
        trip:
          name: short trip
          firstDay: 2027-02-08
          lastDay: 2027-02-10
          zone: "+06:00"
        places:
          - name: base camp
            latitude: 41.9
            longitude: 77.6
            altitude: 3900 m
            night: -28 °C
            day: -6 °C
        teams:
          - name: base team
            home: base camp

        """;

    public static TripRead Sound(string text) => Assert.IsType<TripRead>(TripFileReader.Read("trip.yaml", text));

    public static TripProblem[] Problems(string text) => [.. Assert.IsType<TripRefused>(TripFileReader.Read("trip.yaml", text)).Problems];

    public static T Only<T>(string text)
        where T : KitItem => Assert.Single(Sound(text).Items.OfType<T>());
}
