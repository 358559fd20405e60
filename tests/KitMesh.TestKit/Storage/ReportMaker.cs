using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Protocol;
using KitMesh.Protocol.Reports;
using KitMesh.Storage;
using NodaTime;

namespace KitMesh.TestKit.Storage;

/// <summary>Makes reports of one origin as a hub would hand them to its store.</summary>
public sealed class ReportMaker(string node, ulong epoch = 1)
{
    /// <summary>Where the scenario of the tests begins.</summary>
    public static readonly Instant Start = Instant.FromUtc(2027, 2, 14, 16, 30);

    public OriginId Origin { get; } = new(NodeId.Parse(node), epoch);

    public IncomingReport Make(ulong sequence, Instant time, ReportBody body, Instant? arrived = null)
    {
        var written = new DeviceTime(time, new BootId(7), Nanoseconds.Of(time - Start));
        var report = new Report(new ReportKey(Origin, sequence), HybridTime.From(Math.Max(0, time.ToUnixTimeMilliseconds()), 0), written, body);
        var raw = new RawReport(report.Key, ReportCodec.Encode(report));
        return new IncomingReport(raw, new TimedReport(ReportCodec.Decode(raw), time, ClockTrust.PersonSet), arrived ?? time + Duration.FromSeconds(2));
    }

    public IncomingReport Temperature(ulong sequence, Instant time, double celsius, string subject = "box 1") =>
        Make(sequence, time, new TemperatureReading(KitId.Parse(subject), "probe", new Celsius(celsius)));

    public IncomingReport Battery(ulong sequence, Instant time, double volts, string pack = "ridge bank") =>
        Make(sequence, time, new BatteryReading(KitId.Parse(pack), new Volts(volts), new Amperes(-1.25), null, null, ValueList.Create<Celsius>([new(-4.5), new(-3)])));

    public IncomingReport Note(ulong sequence, Instant time, string text) => Make(sequence, time, new Note("the lead", null, text));
}
