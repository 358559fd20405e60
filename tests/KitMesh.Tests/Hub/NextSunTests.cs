using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Hub.Views;
using NodaTime;

namespace KitMesh.Tests.Hub;

public sealed class NextSunTests
{
    // 42° N 75° E in mid February: the sun rises about 02:00 UTC and sets about 12:30 UTC (checked in the tests of the sun's events).
    [Theory]
    [InlineData(20, 5.0, 7.0)]
    [InlineData(0, 1.0, 3.0)]
    [InlineData(6, 0.0, 0.0)]
    public void After_NightAndDay_GivesTheHoursToTheSun(int hourUtc, double least, double most)
    {
        Instant now = Instant.FromUtc(2027, 2, 12, hourUtc, 0);

        Assert.InRange((NextSun.After(now, At(42, 75)) - now).TotalHours, least, most);
    }

    [Fact]
    public void After_PolarNight_IsNotSoon() =>
        Assert.True(NextSun.After(Instant.FromUtc(2027, 12, 20, 12, 0), At(80, 15)) - Instant.FromUtc(2027, 12, 20, 12, 0) > Duration.FromDays(1));

    [Fact]
    public void After_PolarDay_IsNow() =>
        Assert.Equal(Instant.FromUtc(2027, 6, 20, 0, 0), NextSun.After(Instant.FromUtc(2027, 6, 20, 0, 0), At(80, 15)));

    private static Place At(double latitude, double longitude) =>
        new(KitId.Parse("base camp"), new(latitude), new(longitude), new(3900), new(-28), new(-6), 0.6, 0.75, []);
}
