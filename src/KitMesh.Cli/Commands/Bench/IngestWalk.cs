using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Protocol.Reports;
using NodaTime;

namespace KitMesh.Cli.Commands.Bench;

/// <summary>One agent at a charge controller that goes on writing: walks at sensor resolution, from one seed.</summary>
internal sealed class IngestWalk
{
    private static readonly Instant Start = Instant.FromUtc(2027, 2, 14, 6, 0);

    private readonly Random _random;
    private readonly int _agent;
    private readonly string _kin;
    private (double Volts, double Amperes, double Cell, double Air, double Yield) _at = (13.2, 1.5, -4, -12, 1_000);
    private int _written;

    /// <param name="agent">Its number.</param>
    /// <param name="seed">Seed of the walk.</param>
    /// <param name="kin">Begins the names of the agent and its things.</param>
    public IngestWalk(int agent, int seed, string kin)
    {
        _agent = agent;
        _kin = kin;
        _random = new Random(HashCode.Combine(seed, agent));
        Origin = new OriginId(NodeId.Parse($"bench-{kin}agent-{agent}"), (ulong)seed + (ulong)agent + 1);
    }

    /// <summary>The writer.</summary>
    public OriginId Origin { get; }

    /// <summary>Sensor values written so far.</summary>
    public long Readings { get; private set; }

    /// <summary>The next reports.</summary>
    /// <param name="count">How many.</param>
    public RawReport[] Take(int count)
    {
        var reports = new RawReport[count];
        for (int i = 0; i < count; i++)
        {
            reports[i] = Next();
        }

        return reports;
    }

    private RawReport Next()
    {
        (double volts, double amperes, double cell, double air, double yield) = _at;
        volts = Step(volts, 0.01, 11, 14.6);
        amperes = Step(amperes, 0.1, -10, 20);
        cell = Step(cell, 0.1, -20, 20);
        air = Step(air, 0.1, -30, 5);
        yield += _random.Next(3);
        _at = (volts, amperes, cell, air, yield);
        (ReportBody body, int values) = Body();
        Readings += values;
        Instant wall = Start + Duration.FromMilliseconds((_written * 10_000L) + _random.Next(400));
        var written = new DeviceTime(wall, new BootId(77), (wall - Start).ToInt64Nanoseconds() + _random.Next(1_000_000));
        _written++;
        return new RawReport(
            new ReportKey(Origin, (ulong)_written),
            ReportCodec.Encode(HybridTime.From(wall.ToUnixTimeMilliseconds(), 0), written, body));
    }

    private (ReportBody Body, int Values) Body()
    {
        KitId pack = KitId.Parse($"{_kin}bank {_agent}");
        return (_written % 4) switch
        {
            0 or 2 => (new BatteryReading(pack, new Volts(_at.Volts), new Amperes(_at.Amperes), null, new StateOfCharge(0.5), [new Celsius(_at.Cell), new Celsius(_at.Cell + 0.5)]), 5),
            1 => (new PanelReading(KitId.Parse($"{_kin}panel {_agent}"), new Volts(_at.Volts + 4), new Amperes(Math.Abs(_at.Amperes)), null, new WattHours(_at.Yield)), 3),
            _ => (new TemperatureReading(KitId.Parse($"{_kin}box {_agent}"), "outside", new Celsius(_at.Air)), 1),
        };
    }

    private double Step(double value, double resolution, double least, double most) =>
        Math.Clamp(Math.Round((value + ((_random.Next(7) - 3) * resolution)) / resolution) * resolution, least, most);
}
