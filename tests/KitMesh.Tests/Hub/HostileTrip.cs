using Grpc.Net.Client;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.Exchange;
using KitMesh.Protocol.Kit;
using KitMesh.Protocol.Reports;
using KitMesh.Storage;
using KitMesh.TestKit.Hub;
using KitMesh.TestKit.Storage;
using NodaTime;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Tests.Hub;

/// <summary>A trip whose names are markup, as somebody could write them who wants to break a page.</summary>
internal static class HostileTrip
{
    private const string Hostile = "<img src=x onerror=alert(1)>\"'&";

    /// <summary>Names of every kind of kit: markup, right-to-left letters with an override, and the longest name that there can be.</summary>
    private static readonly string[] Names =
    [
        Hostile,
        "<script>alert('kit')</script>",
        "</title></option></select></textarea><svg onload=alert(2)>",
        "\u05de\u05e6\u05dc\u05de\u05d4 \u202e rtl",
        new string('W', KitId.MaxLength),
    ];
    private static readonly Instant Now = Instant.FromUtc(2027, 2, 14, 18, 0);

    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    public static async Task DeclareAsync(TestHub hub)
    {
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        var mesh = new V1.MeshService.MeshServiceClient(channel);
        KitId name = KitId.Parse(Hostile);
        var request = new V1.DeclareKitRequest();
        request.Items.Add(KitItemCodec.Write(new Trip(name, new LocalDate(2027, 2, 8), new LocalDate(2027, 3, 5), Offset.FromHours(5))));
        request.Items.AddRange(Names.SelectMany(Kit).Select(KitItemCodec.Write));
        await mesh.DeclareKitAsync(request, cancellationToken: Cancel);
        var writer = new ReportMaker("ridge-agent");
        await PushAsync(
            mesh,
            writer,
            [
                writer.Make(1, Now, new ReaderFault(Hostile, name, Hostile, [], false)),
                writer.Make(2, Now, new AlertChanged(Hostile, name, true, Hostile)),
                writer.Make(3, Now, new CardSeen(name, name, name, new ByteCount(1), new ByteCount(1), 1)),
                writer.Make(4, Now, new ClipFound(new ClipHash(7), name, name, Hostile, new ByteCount(9), name, Now, null, Hostile)),
                writer.Make(5, Now, new Note(new string('L', 100), name, Hostile + new string('w', 200))),
                writer.Make(6, Now, new KitPlaced(name, KitId.Parse(Names[1]), Names[2])),
                writer.Make(7, Now, new BatteryReading(name, new Volts(13.2), null, null, null, [])),
                writer.Make(8, Now, new LoadReading(name, ChargeActivity.Charging, new StateOfCharge(0.5), null, null, null)),
                writer.Make(9, Now, new TemperatureReading(name, Names[1], new Celsius(-4))),
                writer.Make(10, Now, new DriveState(name, new ByteCount(5), new ByteCount(10), DriveHealth.Warning, new Celsius(3), Names[1])),
            ]);
    }

    private static KitItem[] Kit(string text)
    {
        KitId name = KitId.Parse(text);
        return
        [
            new Place(name, new(41.9), new(77.7), new(4350), new Celsius(-31), new Celsius(-9), 0.66, 0.7, []),
            new Team(name, name),
            new Person(name, name),
            new Box(name, new(0.12), new(9000), new Watts(10), new Celsius(4), new Celsius(8)),
            new Bank(name, name, name, new(0.6), new(0.2), null, null),
            new Pack(name, name, Chemistry.Lfp, 4, new AmpereHours(100), null, null, null, null, null),
            new Panel(name, name, new Watts(120), new(65), new(190), -0.0035, 0.75, new Volts(21.6), new(3.1)),
            new Load(name, name, name, LoadClass.Work, 1, new WattHours(70), 0.3, new WattHours(150), new Watts(60), Chemistry.Nmc),
            new FootageSource(name, name, name, 200, 0.5, null),
            new Case(name, null, 0.01),
            new Card(name, name, new ByteCount(64_000_000_000)),
        ];
    }

    /// <summary>Pushes notes, "note 1" first.</summary>
    public static async Task PushNotesAsync(TestHub hub, int count)
    {
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        var writer = new ReportMaker("ridge-phone");
        await PushAsync(
            new V1.MeshService.MeshServiceClient(channel),
            writer,
            Enumerable.Range(1, count).Select(i => writer.Make((ulong)i, Now + Duration.FromSeconds(i), new Note("lead", null, $"note {i}"))));
        await hub.Application.WhenCaughtUpAsync(Cancel);
    }

    private static async Task PushAsync(V1.MeshService.MeshServiceClient mesh, ReportMaker writer, IEnumerable<IncomingReport> reports)
    {
        var push = new V1.PushRequest { Origin = OriginCodec.Write(writer.Origin), FirstSequence = 1 };
        push.Encoded.AddRange(reports.Select(report => Google.Protobuf.ByteString.CopyFrom(ReportCodec.Encode(report.Timed.Report))));
        await mesh.PushAsync(push, cancellationToken: Cancel);
    }
}
