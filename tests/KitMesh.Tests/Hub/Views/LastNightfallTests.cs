using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Hub.Views;
using NodaTime;

namespace KitMesh.Tests.Hub.Views;

public sealed class LastNightfallTests
{
    private static readonly Offset Zone = Offset.FromHours(6);

    [Fact]
    public void Before_AfterSunset_IsThisEvening()
    {
        // Sunset of 2027-02-11 at 41.9 N 77.6 E is near 18:10 in +06:00; the sun itself is checked against the published
        // algorithm where it is computed.
        Instant night = LastNightfall.Before(Instant.FromUtc(2027, 2, 11, 14, 0), At(41.9, 77.6), Zone);

        Assert.InRange(night, Instant.FromUtc(2027, 2, 11, 11, 30), Instant.FromUtc(2027, 2, 11, 12, 45));
    }

    [Fact]
    public void Before_InTheAfternoon_IsTheEveningBefore()
    {
        Instant night = LastNightfall.Before(Instant.FromUtc(2027, 2, 11, 10, 0), At(41.9, 77.6), Zone);

        Assert.InRange(night, Instant.FromUtc(2027, 2, 10, 11, 30), Instant.FromUtc(2027, 2, 10, 12, 45));
    }

    [Theory]
    [InlineData(11)]
    [InlineData(13)]
    public void Before_WhereTheSunDoesNotSet_IsSixInTheEvening(int hour)
    {
        Instant night = LastNightfall.Before(Instant.FromUtc(2027, 6, 21, hour, 0), At(78.2, 15.6), Zone);

        Assert.Equal(Instant.FromUtc(2027, 6, hour >= 12 ? 21 : 20, 12, 0), night);
    }

    [Fact]
    public void Before_NoPlace_IsSixInTheEvening() =>
        Assert.Equal(Instant.FromUtc(2027, 2, 11, 12, 0), LastNightfall.Before(Instant.FromUtc(2027, 2, 11, 14, 0), null, Zone));

    private static Place At(double latitude, double longitude) =>
        new(KitId.Parse("base camp"), new(latitude), new(longitude), new(3900), new(-28), new(-6), 0.6, 0.75, []);
}
