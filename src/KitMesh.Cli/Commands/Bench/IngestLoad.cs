using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Protocol.Reports;
using NodaTime;

namespace KitMesh.Cli.Commands.Bench;

/// <summary>Reports as an agent at a charge controller writes them: walks at sensor resolution, from one seed.</summary>
internal sealed class IngestLoad
{
    private static readonly Instant Start = Instant.FromUtc(2027, 2, 14, 6, 0);

    private IngestLoad(OriginId origin, RawReport[] reports, long readings)
    {
        Origin = origin;
        Reports = reports;
        Readings = readings;
    }

    /// <summary>The writer.</summary>
    public OriginId Origin { get; }

    /// <summary>Its reports.</summary>
    public RawReport[] Reports { get; }

    /// <summary>Sensor values in them.</summary>
    public long Readings { get; }

    /// <summary>The reports of one agent.</summary>
    /// <param name="agent">Its number.</param>
    /// <param name="count">How many reports.</param>
    /// <param name="seed">Seed of the walk.</param>
    /// <param name="kin">Begins the names of the agent and its things.</param>
    public static IngestLoad Of(int agent, int count, int seed, string kin = "")
    {
        var origin = new OriginId(NodeId.Parse($"bench-{kin}agent-{agent}"), (ulong)seed + (ulong)agent + 1);
        var random = new Random(HashCode.Combine(seed, agent));
        var reports = new RawReport[count];
        long readings = 0;
        (double volts, double amperes, double cell, double air, double yield) = (13.2, 1.5, -4, -12, 1_000);
        for (int i = 0; i < count; i++)
        {
            volts = Step(random, volts, 0.01, 11, 14.6);
            amperes = Step(random, amperes, 0.1, -10, 20);
            cell = Step(random, cell, 0.1, -20, 20);
            air = Step(random, air, 0.1, -30, 5);
            yield += random.Next(3);
            (ReportBody body, int values) = Body(kin, agent, i, volts, amperes, cell, air, yield);
            readings += values;
            Instant wall = Start + Duration.FromMilliseconds((i * 10_000L) + random.Next(400));
            var written = new DeviceTime(wall, new BootId(77), (wall - Start).ToInt64Nanoseconds() + random.Next(1_000_000));
            reports[i] = new RawReport(
                new ReportKey(origin, (ulong)i + 1),
                ReportCodec.Encode(HybridTime.From(wall.ToUnixTimeMilliseconds(), 0), written, body));
        }

        return new IngestLoad(origin, reports, readings);
    }

    private static (ReportBody Body, int Values) Body(string kin, int agent, int number, double volts, double amperes, double cell, double air, double yield)
    {
        KitId pack = KitId.Parse($"{kin}bank {agent}");
        return (number % 4) switch
        {
            0 or 2 => (new BatteryReading(pack, new Volts(volts), new Amperes(amperes), null, new StateOfCharge(0.5), [new Celsius(cell), new Celsius(cell + 0.5)]), 5),
            1 => (new PanelReading(KitId.Parse($"{kin}panel {agent}"), new Volts(volts + 4), new Amperes(Math.Abs(amperes)), null, new WattHours(yield)), 3),
            _ => (new TemperatureReading(KitId.Parse($"{kin}box {agent}"), "outside", new Celsius(air)), 1),
        };
    }

    private static double Step(Random random, double value, double resolution, double least, double most) =>
        Math.Clamp(Math.Round((value + ((random.Next(7) - 3) * resolution)) / resolution) * resolution, least, most);
}
