using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using NodaTime;

namespace KitMesh.TestKit.Reports;

/// <summary>One plain report of every kind and every kit kind, with every field filled: what the golden bytes are made from.</summary>
public static class ReportSamples
{
    public static readonly Instant Written = Instant.FromUtc(2027, 2, 3, 19, 30, 15) + Duration.FromNanoseconds(123_456_789);

    public static readonly HybridTime Hybrid = HybridTime.From(Written.ToUnixTimeMilliseconds(), 2);

    public static readonly DeviceTime Clock = new(Written, new BootId(0x0123_4567_89AB_CDEF), 86_400_000_000_123);

    public static readonly ReportKey Key = new(new OriginId(NodeId.Parse("ridge-power"), 0xFEED_0000_0000_0001), 42);

    private static readonly ClipHash Clip = new(((UInt128)0x0011_2233_4455_6677 << 64) | 0x8899_AABB_CCDD_EEFF);

    /// <summary>Every sample by the name of its golden file.</summary>
    public static IReadOnlyDictionary<string, Report> All { get; } = Bodies()
        .Select(body => (Name: Name(body), Report: new Report(Key, Hybrid, Clock, body)))
        .ToDictionary(sample => sample.Name, sample => sample.Report);

    private static KitId Id(string name) => KitId.Parse(name);

    private static string Name(ReportBody body) => body is KitDeclared declared ? $"KitDeclared.{declared.Item.Kind}" : body.Kind.ToString();

    private static IEnumerable<ReportBody> Bodies() => [.. Readings(), .. Footage(), .. Others(), .. Kit().Select(item => new KitDeclared(item, item is Card))];

    private static IEnumerable<ReportBody> Readings() =>
    [
        new BatteryReading(
            Id("ridge bank"), new Volts(13.27), new Amperes(-4.5), new Watts(-59.7), new StateOfCharge(0.62), [new Celsius(-3.5), new Celsius(1.25)],
            new Volts(3.31), new Volts(3.33), true, ReadingSource.Typed),
        new TemperatureReading(Id("ridge box"), "28-0000075bcd15", new Celsius(-27.9375), ReadingSource.Estimated),
        new PanelReading(Id("panel 1"), new Volts(38.4), new Amperes(3.2), new Watts(122.9), new WattHours(18_450.5), 4.5, ReadingSource.Typed),
        new LoadReading(
            Id("recorder 3"), ChargeActivity.PluggedNotCharging, new StateOfCharge(0.4), new Watts(0.5), new WattHours(210), new Celsius(-8), ReadingSource.Estimated),
    ];

    private static IEnumerable<ReportBody> Footage() =>
    [
        new CardSeen(Id("card 7"), Id("card 7 at 2027-02-03 19:02"), Id("hide camera"), new ByteCount(256_000_000_000), new ByteCount(181_000_000_000), 42),
        new ClipFound(
            Clip, Id("card 7"), Id("card 7 at 2027-02-03 19:02"), "CLIPS/A001_0203.MOV", new ByteCount(4_294_967_296), Id("hide camera"),
            Written - Duration.FromHours(9), Duration.FromSeconds(94), "the index is missing"),
        new CopyMade(Clip, Id("drive A"), "2027-02-03/card 7/A001_0203.MOV", new ByteCount(4_294_967_296)),
        new CopyVerified(Clip, Id("drive A"), "2027-02-03/card 7/A001_0203.MOV", new ByteCount(4_294_967_296), ReadBackLevel.Direct, true),
        new CopyFailed(Clip, Id("drive B"), "2027-02-03/card 7/A001_0203.MOV", CopyFailure.HashDiffers, "block 17 differs", Id("card 7")),
        new CardFormatted(Id("card 7"), Id("card 7 at 2027-02-03 19:02"), true),
        new DriveState(Id("drive A"), new ByteCount(4_000_000_000_000), new ByteCount(1_250_000_000_000), DriveHealth.Passed, new Celsius(11), "7c9e6679"),
        new CardReleased(Id("card 7"), Id("card 7 at 2027-02-03 19:02"), "first assistant", "no drive left", "1 clip with one copy"),
    ];

    private static IEnumerable<ReportBody> Others() =>
    [
        new Note("first assistant", Id("ridge bank"), "Panel turned at noon, wind from the west."),
        new ClockPair(
            NodeId.Parse("hide-recorder"), new DeviceTime(NodaConstants.UnixEpoch, new BootId(5), 7_000_000_000), ClockTrust.Unknown, Clock,
            ClockTrust.SatelliteFix, Duration.FromMilliseconds(12)),
        new AgentState(NodeId.Parse("ridge-power"), "0.1.0", 1_234, 56_789, 12, new StateOfCharge(0.9), new ByteCount(20_000_000_000), 900),
        new ReaderFault("charge controller", Id("ridge bank"), "CRC differs", [1, 3, 0x9C, 0x40, 0, 2], true),
        new AlertChanged("pack-too-cold", Id("ridge bank"), true, "Coldest probe -3.5 °C, limit 4 °C, charging with 2 A."),
        new KitPlaced(Id("drive A"), Id("case 1"), "first assistant", Written - Duration.FromHours(1)),
        new DigestHeard("1QYW8F7H2K", "base camp runner"),
        new NodeEnrolled(NodeId.Parse("hide-recorder"), [0x30, 0x03, 0x02, 0x01, 0x07], [0x30, 0x00]),
        new NodeRevoked(
            NodeId.Parse("hide-recorder"), [new LastValidReport(0xFEED_0000_0000_0002, 118), new LastValidReport(0xFEED_0000_0000_0003, 0)],
            "first assistant", "lost on the glacier"),
        new OriginSealed(118, Sha256Hash.Of([1]), ValueList.Create<byte>([.. Enumerable.Range(0, 64).Select(i => (byte)i)])),
        new TakenDirectly(new OriginId(NodeId.Parse("hide-recorder"), 0xFEED_0000_0000_0002), 7, 118, Sha256Hash.Of([2])),
        new DayRolledUp(Id("ridge box"), Instant.FromUtc(2027, 2, 2, 19, 0), Instant.FromUtc(2027, 2, 3, 19, 0),
            [new DayLine(SeriesQuantity.Temperature, "28-0000075bcd15", 143, -27_937_500, -12_250_000, 4_062_500, -20_500_000, Duration.FromHours(23))]),
    ];

    private static IEnumerable<KitItem> Kit() =>
    [
        new Trip(Id("late winter"), new LocalDate(2027, 2, 1), new LocalDate(2027, 2, 26), Offset.FromHours(5), new LocalDate(2027, 3, 5)),
        new Place(
            Id("ridge camp"), new Degrees(42.1), new Degrees(78.3), new Metres(4_300), new Celsius(-28), new Celsius(-6), 0.62, 0.75,
            [new HorizonPoint(new Degrees(90), new Degrees(12)), new HorizonPoint(new Degrees(180), new Degrees(4))]),
        new Team(Id("ridge"), Id("ridge camp")),
        new Person(Id("second camera"), Id("ridge")),
        new CalendarDay(Id("ridge"), new LocalDate(2027, 2, 9), DayKind.Storm, Id("base camp"), 0),
        new Bank(Id("ridge bank"), Id("ridge"), Id("ridge box"), new StateOfCharge(0.3), new StateOfCharge(0.15), new Volts(100), new Amperes(20)),
        new Pack(
            Id("pack 1"), Id("ridge bank"), Chemistry.Lfp, 4, new AmpereHours(100), new Ohms(0.02), new Celsius(0), new Celsius(45), new Volts(3.65), new Kilograms(11)),
        new Box(Id("ridge box"), new WattsPerKelvin(0.9), new JoulesPerKelvin(32_000), new Watts(40), new Celsius(5), new Celsius(15)),
        new Panel(Id("panel 1"), Id("ridge bank"), new Watts(200), new Degrees(60), new Degrees(180), -0.0036, 0.85, new Volts(46), new Kilograms(5.5)),
        new Load(
            Id("recorder 3"), Id("ridge"), Id("ridge bank"), LoadClass.Work, 2, new WattHours(38), 0.2, new WattHours(49), new Watts(25), Chemistry.Nmc),
        new Outlet(Id("outlet 1"), Id("ridge bank"), new Watts(65), 0.85),
        new FootageSource(Id("hide camera"), Id("ridge"), Id("recorder 3"), 180, 0.4, Id("three copies")),
        new Card(Id("card 7"), Id("hide camera"), new ByteCount(256_000_000_000)),
        new Drive(
            Id("drive A"), Id("case 1"), new ByteCount(4_000_000_000_000), DriveMedium.Spinning, new Celsius(5), new Metres(3_050), 0.02, Id("batch 1")),
        new Case(Id("case 1"), Id("ridge"), 0.01),
        new CopyRule(Id("three copies"), 3, 3, 2, Duration.FromDays(7), 21),
        new WatchedAgent(NodeId.Parse("ridge-power"), Id("ridge"), Duration.FromHours(2)),
        new LossFigure(Id("bitErrorRate"), 1e-16, 1e-15, 1e-14, "the maker's sheet of drive A, May 2026"),
        new SharedDanger(Id("river crossing"), 0.005, [Id("case 1"), Id("case 2")]),
        new WeatherLine(Id("ridge camp"), new LocalDate(2027, 2, 9), 0.35, new Celsius(-24), new Celsius(-9), 0.7, Said: true),
        new PanelHabit(Id("panel habits"), Duration.FromMinutes(20), 0.004, new MetresPerSecond(14), new MetresPerSecond(9), 0.3),
    ];
}
