using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using NodaTime;

namespace KitMesh.TestKit.Reports;

/// <summary>Draws reports from a seed: every kind, absent and odd values, few names and times so that things meet.</summary>
public sealed class ReportDraw(int seed)
{
    private static readonly string[] Names = ["ridge bank", "pack 1", "Kiste ü", "drive A", "card 7", "手帳", "x"];
    private static readonly string[] Nodes = ["power-1", "station-1", "base-camp"];

    private readonly Random _random = new(seed);

    public static Instant Start { get; } = Instant.FromUtc(2027, 2, 1, 6, 0);

    public KitId Id() => KitId.Parse(Names[_random.Next(Names.Length)]);

    public KitId? MaybeId() => Flip() ? Id() : null;

    public NodeId Node() => NodeId.Parse(Nodes[_random.Next(Nodes.Length)]);

    public bool Flip() => _random.Next(2) == 0;

    public double Number() => _random.Next(12) switch
    {
        0 => double.NaN,
        1 => double.PositiveInfinity,
        2 => double.NegativeInfinity,
        3 => -0.0,
        4 => double.MaxValue,
        5 => double.Epsilon,
        6 => BitConverter.Int64BitsToDouble(_random.NextInt64()),
        7 => -273.16,
        _ => Math.Round((_random.NextDouble() * 200) - 100, 2),
    };

    public Instant Time() => _random.Next(10) switch
    {
        0 => NodaConstants.UnixEpoch,
        1 => Instant.FromUtc(2099, 12, 31, 23, 59),
        2 => Instant.FromUtc(1980, 1, 6, 0, 0),
        _ => Start + Duration.FromSeconds(_random.Next(20)),
    };

    public DeviceTime Clock() => new(Time(), new BootId((ulong)_random.Next(3)), _random.Next(30) * 1_000_000_000L);

    public ClipHash Clip() => new((UInt128)_random.NextInt64());

    public string Text() => _random.Next(4) switch { 0 => "", 1 => "two\nlines", 2 => "Ω≈ç√ 🏔", _ => "said" };

    public Report Report() => new(
        new ReportKey(new OriginId(Node(), (ulong)_random.Next(2)), (ulong)_random.Next(1, 8)),
        HybridTime.From(Math.Max(0, Time().ToUnixTimeMilliseconds()), (ushort)_random.Next(3)),
        Clock(),
        Body());

    public ReportBody Body() => Body((ReportKind)_random.Next(1, System.Enum.GetValues<ReportKind>().Length));

    public ReportBody Body(ReportKind kind) => kind switch
    {
        ReportKind.BatteryReading => new BatteryReading(
            Id(), Q<Volts>(), Q<Amperes>(), Q<Watts>(), Charge(), Probes(), Q<Volts>(), Q<Volts>(), Flip(), Enum<ReadingSource>()),
        ReportKind.TemperatureReading => new TemperatureReading(Id(), Text(), new Celsius(Number()), Enum<ReadingSource>()),
        ReportKind.PanelReading => new PanelReading(Id(), Q<Volts>(), Q<Amperes>(), Q<Watts>(), Q<WattHours>(), MaybeNumber(), Enum<ReadingSource>()),
        ReportKind.LoadReading => new LoadReading(
            Id(), Enum<ChargeActivity>(), Charge(), Q<Watts>(), Q<WattHours>(), MaybeCelsius(), Enum<ReadingSource>()),
        ReportKind.CardSeen => new CardSeen(Id(), Id(), MaybeId(), Bytes(), Bytes(), _random.Next()),
        ReportKind.ClipFound => new ClipFound(
            Clip(), Id(), Id(), Text(), Bytes(), MaybeId(), Flip() ? Time() : null, MaybeSpan(), Flip() ? Text() : null)
        {
            Timecode = MaybeSpan(),
        },
        ReportKind.CopyMade => new CopyMade(Clip(), Id(), Text(), Bytes()),
        ReportKind.CopyVerified => new CopyVerified(Clip(), Id(), Text(), Bytes(), Enum<ReadBackLevel>(), Flip()),
        ReportKind.CopyFailed => new CopyFailed(Flip() ? Clip() : null, MaybeId(), Text(), Enum<CopyFailure>(), Text(), MaybeId()),
        ReportKind.CardFormatted => new CardFormatted(Id(), MaybeId(), Flip()),
        ReportKind.DriveState => new DriveState(Id(), Bytes(), Bytes(), Enum<DriveHealth>(), MaybeCelsius(), Flip() ? Text() : null),
        ReportKind.KitDeclared => new KitDeclared(Item(), Flip()),
        ReportKind.Note => new Note(Text(), MaybeId(), Text()),
        ReportKind.ClockPair => new ClockPair(Node(), Clock(), Enum<ClockTrust>(), Clock(), Enum<ClockTrust>(), Span()),
        ReportKind.AgentState => new AgentState(
            Node(), Text(), _random.NextInt64(), _random.NextInt64(), _random.Next(), Charge(), Bytes(), _random.Next()),
        ReportKind.ReaderFault => new ReaderFault(Text(), MaybeId(), Text(), Raw(), Flip()),
        ReportKind.AlertChanged => new AlertChanged(Text(), Id(), Flip(), Text()),
        ReportKind.KitPlaced => new KitPlaced(Id(), MaybeId(), Text(), Flip() ? Time() : null),
        ReportKind.CardReleased => new CardReleased(Id(), Id(), Text(), Text(), Text()),
        ReportKind.DigestHeard => new DigestHeard(Text(), Text()),
        ReportKind.NodeEnrolled => new NodeEnrolled(Node(), Raw(), Raw()),
        ReportKind.NodeRevoked => new NodeRevoked(
            Node(), Enumerable.Range(0, _random.Next(3)).Select(_ => new LastValidReport((ulong)_random.Next(2), (ulong)_random.Next(9))).ToValueList(), Text(), Text()),
        ReportKind.OriginSealed => new OriginSealed((ulong)_random.Next(9), Sha256Hash.Of([(byte)_random.Next(3)]), Raw()),
        ReportKind.TakenDirectly => new TakenDirectly(new OriginId(Node(), (ulong)_random.Next(2)), (ulong)_random.Next(9), (ulong)_random.Next(9), Sha256Hash.Of([(byte)_random.Next(3)])),
        ReportKind.DayRolledUp => new DayRolledUp(Id(), Day().AtMidnight().InUtc().ToInstant(), Day().AtMidnight().InUtc().ToInstant(), Enumerable.Range(0, _random.Next(3)).Select(_ => Line()).ToValueList()),
        _ => throw new ArgumentOutOfRangeException(nameof(kind), kind, "A new kind needs a line here."),
    };

    private DayLine Line() => new(
        Enum<SeriesQuantity>(), Text(), _random.Next(), _random.NextInt64(), -_random.NextInt64(), _random.NextInt64(), _random.Next(), Duration.FromSeconds(_random.Next(86_400)));

    public KitItem Item() => Item((KitKind)_random.Next(1, System.Enum.GetValues<KitKind>().Length));

    public KitItem Item(KitKind kind) => kind switch
    {
        KitKind.Trip => new Trip(Id(), Day(), Day(), Offset.FromSeconds(_random.Next(-64_800, 64_801)), Flip() ? Day() : null),
        KitKind.Place => new Place(
            Id(), new Degrees(Number()), new Degrees(Number()), new Metres(Number()), new Celsius(Number()), new Celsius(Number()), Number(), Number(), Horizon()),
        KitKind.Team => new Team(Id(), Id()),
        KitKind.Person => new Person(Id(), Id()),
        KitKind.CalendarDay => new CalendarDay(Id(), Day(), Enum<DayKind>(), MaybeId(), MaybeNumber()),
        KitKind.Bank => new Bank(Id(), Id(), MaybeId(), new StateOfCharge(Number()), new StateOfCharge(Number()), Q<Volts>(), Q<Amperes>()),
        KitKind.Pack => new Pack(
            Id(), MaybeId(), Enum<Chemistry>(), _random.Next(), new AmpereHours(Number()), Q<Ohms>(), MaybeCelsius(), MaybeCelsius(), Q<Volts>(), Q<Kilograms>()),
        KitKind.Box => new Box(
            Id(), new WattsPerKelvin(Number()), new JoulesPerKelvin(Number()), new Watts(Number()), new Celsius(Number()), new Celsius(Number())),
        KitKind.Panel => new Panel(
            Id(), Id(), new Watts(Number()), new Degrees(Number()), new Degrees(Number()), Number(), Number(), Q<Volts>(), Q<Kilograms>()),
        KitKind.Load => new Load(
            Id(), Id(), Id(), Enum<LoadClass>(), _random.Next(), new WattHours(Number()), Number(), Q<WattHours>(), Q<Watts>(), Enum<Chemistry>()),
        KitKind.Outlet => new Outlet(Id(), Id(), new Watts(Number()), Number()),
        KitKind.FootageSource => new FootageSource(Id(), Id(), MaybeId(), Number(), Number(), MaybeId()),
        KitKind.Card => new Card(Id(), MaybeId(), Bytes()),
        KitKind.Drive => new Drive(Id(), MaybeId(), Bytes(), Enum<DriveMedium>(), MaybeCelsius(), Q<Metres>(), Number(), MaybeId(), Flip()),
        KitKind.Case => new Case(Id(), MaybeId(), Number()),
        KitKind.CopyRule => new CopyRule(Id(), _random.Next(), _random.Next(), _random.Next(), MaybeSpan(), _random.Next(), _random.Next(3)),
        KitKind.WatchedAgent => new WatchedAgent(Node(), Id(), Span(), Flip(), Flip()),
        KitKind.LossFigure => new LossFigure(Id(), Number(), Number(), Number(), Text()),
        KitKind.SharedDanger => new SharedDanger(Id(), Number(), Enumerable.Range(0, _random.Next(4)).Select(_ => Id()).ToValueList()),
        KitKind.WeatherLine => new WeatherLine(Id(), Day(), Number(), MaybeCelsius(), MaybeCelsius(), Number(), Flip()),
        KitKind.PanelHabit => new PanelHabit(Id(), Duration.FromSeconds(_random.Next(86_400)), Number(), Q<MetresPerSecond>(), new MetresPerSecond(Number()), Number()),
        _ => throw new ArgumentOutOfRangeException(nameof(kind), kind, "A new kit kind needs a line here."),
    };

    private T? Q<T>()
        where T : struct, IQuantity<T> => Flip() ? T.Of(Number()) : null;

    private T Enum<T>()
        where T : struct, Enum
    {
        T[] values = System.Enum.GetValues<T>();
        return values[_random.Next(values.Length)];
    }

    private StateOfCharge? Charge() => Flip() ? new StateOfCharge(Number()) : null;

    private Celsius? MaybeCelsius() => Flip() ? new Celsius(Number()) : null;

    private double? MaybeNumber() => Flip() ? Number() : null;

    private ByteCount Bytes() => new(_random.NextInt64(-5, long.MaxValue));

    private Duration Span() => Duration.FromNanoseconds(_random.NextInt64(-5, 5_000_000_000));

    private Duration? MaybeSpan() => Flip() ? Span() : null;

    private LocalDate Day() => new LocalDate(2027, 2, 1).PlusDays(_random.Next(-40, 40));

    private ValueList<Celsius> Probes() => Enumerable.Range(0, _random.Next(4)).Select(_ => new Celsius(Number())).ToValueList();

    private ValueList<HorizonPoint> Horizon() =>
        Enumerable.Range(0, _random.Next(3)).Select(_ => new HorizonPoint(new Degrees(Number()), new Degrees(Number()))).ToValueList();

    private ValueList<byte> Raw() => Enumerable.Range(0, _random.Next(5)).Select(_ => (byte)_random.Next(256)).ToValueList();
}
