using KitMesh.Demo.Clock;
using Microsoft.Extensions.Time.Testing;
using NodaTime;

namespace KitMesh.Tests.Demo;

public sealed class WorldClockTests : IDisposable
{
    private static readonly Instant Start = Instant.FromUtc(2027, 2, 8, 0, 0);

    private readonly string _path = Path.GetTempFileName();
    private readonly FakeTimeProvider _machine = new();

    public void Dispose() => File.Delete(_path);

    [Fact]
    public void Now_TwoReaders_AgreeAndFollowTheSpeed()
    {
        using WorldClockFile maker = WorldClockFile.Create(_path, Start, 3600, _machine);
        using WorldClockFile other = WorldClockFile.Open(_path, _machine);

        _machine.Advance(TimeSpan.FromSeconds(2));
        Assert.Equal(Start + Duration.FromHours(2), other.Now);
        maker.SetSpeed(0);
        _machine.Advance(TimeSpan.FromSeconds(100));
        Assert.Equal(Start + Duration.FromHours(2), other.Now);
        maker.SetSpeed(60);
        _machine.Advance(TimeSpan.FromSeconds(60));
        Assert.Equal(Start + Duration.FromHours(3), other.Now);
    }

    [Fact]
    public void RunUntil_ABusyMachine_StandsAtTheMoment()
    {
        using WorldClockFile maker = WorldClockFile.Create(_path, Start, 0, _machine);
        using WorldClockFile other = WorldClockFile.Open(_path, _machine);

        maker.RunUntil(Start + Duration.FromHours(1), 3600);
        _machine.Advance(TimeSpan.FromSeconds(0.5));
        Assert.Equal(Start + Duration.FromMinutes(30), other.Now);
        _machine.Advance(TimeSpan.FromSeconds(100));
        Assert.Equal(Start + Duration.FromHours(1), other.Now);
        maker.SetSpeed(60);
        _machine.Advance(TimeSpan.FromSeconds(60));
        Assert.Equal(Start + Duration.FromHours(2), other.Now);
        maker.RunUntil(Start, 60);
        Assert.Equal(Start + Duration.FromHours(2), other.Now);
    }

    [Fact]
    public void Pace_TimerOfWorldHours_FiresWhenTheyHavePassed()
    {
        using WorldClockFile clock = WorldClockFile.Create(_path, Start, 3600, _machine);
        int fired = 0;
        using ITimer timer = new WorldPace(clock, _machine).CreateTimer(_ => fired++, null, TimeSpan.FromHours(2), Timeout.InfiniteTimeSpan);

        Advance(195);
        Assert.Equal(0, fired);
        Advance(10);
        Assert.Equal(1, fired);
        Advance(500);
        Assert.Equal(1, fired);
    }

    [Fact]
    public void Pace_PeriodicTimerOnABusyMachine_SkipsWhatItMissed()
    {
        using WorldClockFile clock = WorldClockFile.Create(_path, Start, 3600, _machine);
        var pace = new WorldPace(clock, _machine);
        int fired = 0;
        using ITimer timer = pace.CreateTimer(_ => fired++, null, TimeSpan.FromMinutes(1), TimeSpan.FromMinutes(1));

        _machine.Advance(TimeSpan.FromSeconds(1));
        int afterAnHourInOneStep = fired;
        _machine.Advance(TimeSpan.FromMilliseconds(25));

        Assert.InRange(afterAnHourInOneStep, 1, 60);
        Assert.True(fired > afterAnHourInOneStep);
    }

    [Fact]
    public void DeviceClock_Dead_CountsFromTheEpochWhileItsMonotonicTimeIsRight()
    {
        using WorldClockFile clock = WorldClockFile.Create(_path, Start, 3600, _machine);
        var dead = new WorldDeviceClock(clock, new(5), KitMesh.Domain.Time.ClockTrust.Unknown, Start);

        _machine.Advance(TimeSpan.FromSeconds(1));

        Assert.Equal(NodaConstants.UnixEpoch + Duration.FromHours(1), dead.Read().Wall);
        Assert.Equal(3_600_000_000_000, dead.Read().MonotonicNanoseconds);
    }

    private void Advance(int hundredths)
    {
        for (int i = 0; i < hundredths; i++)
        {
            _machine.Advance(TimeSpan.FromMilliseconds(10));
        }
    }
}
