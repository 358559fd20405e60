using KitMesh.Storage.Days;
using NodaTime;

namespace KitMesh.Tests.Storage.Days;

/// <summary>The crew's days as whole hours of UTC.</summary>
public sealed class CrewDayTests
{
    private static readonly LocalDate Day = new(2027, 2, 14);

    [Theory]
    [InlineData(0, "2027-02-14T00:00:00Z")]
    [InlineData(5 * 3600, "2027-02-13T19:00:00Z")]
    [InlineData(-7 * 3600, "2027-02-14T07:00:00Z")]
    [InlineData((5 * 3600) + 2700, "2027-02-13T18:00:00Z")] // Midnight is 18:15; the middle of 18:00 to 19:00 lies behind it.
    [InlineData((5 * 3600) + 1800, "2027-02-13T18:00:00Z")] // Midnight is 18:30, the middle itself: the new day's.
    [InlineData((5 * 3600) + 900, "2027-02-13T19:00:00Z")] // Midnight is 18:45.
    public void Of_Zone_BeginsAtTheHourWhoseMiddleLiesInTheDay(int seconds, string begin)
    {
        CrewDay day = CrewDay.Of(Day, Offset.FromSeconds(seconds));

        Assert.Equal(begin, day.From.ToString());
        Assert.Equal(Duration.FromHours(24), day.Until - day.From);
        Assert.Equal(day, CrewDay.Holding(day.From, Offset.FromSeconds(seconds)));
        Assert.Equal(day, CrewDay.Holding(day.Until - Duration.FromNanoseconds(1), Offset.FromSeconds(seconds)));
        Assert.Equal(Day.PlusDays(1), CrewDay.Holding(day.Until, Offset.FromSeconds(seconds)).Day);
    }
}
