using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using NodaTime;

namespace KitMesh.Sync.Session;

/// <summary>Reads the peer's clock: probe out, echo back, half the round trip as the doubt.</summary>
/// <param name="log">What was already reported about peers.</param>
internal sealed class ClockProbing(ClockPairLog log)
{
    private static readonly Duration Interval = Duration.FromHours(1);

    private static readonly Duration Patience = Duration.FromSeconds(10);

    private SessionMoment? _asked;
    private Duration _next = Duration.MinValue;
    private ulong _id;

    /// <summary>Whether an echo is still worth waiting for.</summary>
    public bool Waits(SessionMoment now) => _asked is { } asked && now.Machine - asked.Machine < Patience;

    /// <summary>A probe when it is time for one.</summary>
    public ClockProbeFrame? Due(SessionMoment now)
    {
        if (now.Machine < _next)
        {
            return null;
        }

        _next = now.Machine + Interval;
        _asked = now;
        return new ClockProbeFrame(++_id);
    }

    /// <summary>The clock pair that an echo gives, when it tells something new.</summary>
    public ClockPair? Take(ClockEchoFrame echo, NodeId peer, SessionMoment now)
    {
        if (_asked is not { } asked || echo.Id != _id || asked.Device.Boot != now.Device.Boot)
        {
            return null;
        }

        _asked = null;
        long roundTrip = Math.Max(0, now.Device.MonotonicNanoseconds - asked.Device.MonotonicNanoseconds);
        var half = Duration.FromNanoseconds(roundTrip / 2);
        var middle = new DeviceTime(
            now.Device.Wall - half,
            now.Device.Boot,
            now.Device.MonotonicNanoseconds - (roundTrip / 2));
        var pair = new ClockPair(peer, echo.Clock, echo.Trust, middle, now.Trust, half);
        return log.IsNews(pair) ? pair : null;
    }
}
