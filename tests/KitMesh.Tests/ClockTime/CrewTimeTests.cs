using KitMesh.Domain.Time;
using NodaTime;

namespace KitMesh.Tests.ClockTime;

public sealed class CrewTimeTests
{
    private static readonly Offset Zone = Offset.FromHoursAndMinutes(5, 45);

    [Fact]
    public void Show_ByTheCrewsClock_CrossesMidnight()
    {
        Assert.Equal("12 Feb 01:00", CrewTime.Show(Instant.FromUtc(2027, 2, 11, 19, 15), Zone));
        Assert.Equal("12 Feb 01:00 (+05:45)", CrewTime.ShowWithZone(Instant.FromUtc(2027, 2, 11, 19, 15), Zone));
        Assert.Equal("11 Feb 13:00 (-06:15)", CrewTime.ShowWithZone(Instant.FromUtc(2027, 2, 11, 19, 15), Offset.FromHoursAndMinutes(-6, -15)));
        Assert.Equal("11 Feb 19:15 (UTC)", CrewTime.ShowWithZone(Instant.FromUtc(2027, 2, 11, 19, 15), Offset.Zero));
    }

    [Fact]
    public void Show_ADeadClock_TellsTheYear()
    {
        Assert.Equal("1 Jan 1970 05:45", CrewTime.Show(Instant.FromUtc(1970, 1, 1, 0, 0), Zone));
        Assert.Contains("2099", CrewTime.Show(Instant.FromUtc(2099, 6, 1, 0, 0), Zone), StringComparison.Ordinal);
    }

    [Fact]
    public void Show_TheEndsOfTime_DoNotThrow()
    {
        Assert.NotEmpty(CrewTime.Show(Instant.MinValue, Offset.MinValue));
        Assert.NotEmpty(CrewTime.Show(Instant.MaxValue, Offset.MaxValue));
    }
}
