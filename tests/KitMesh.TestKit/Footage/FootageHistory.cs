using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using NodaTime;

namespace KitMesh.TestKit.Footage;

/// <summary>Writes reports about footage as stations and keepers would, one a minute unless told otherwise.</summary>
public sealed class FootageHistory
{
    public static readonly Instant Start = Instant.FromUtc(2027, 2, 1, 6, 0);

    private readonly List<TimedReport> _reports = [];
    private readonly Dictionary<OriginId, ulong> _sequences = [];

    public Instant Clock { get; set; } = Start;

    public OriginId Station { get; set; } = new(NodeId.Parse("station-1"), 7);

    public IReadOnlyList<TimedReport> Reports => _reports;

    public static KitId Id(string name) => KitId.Parse(name);

    public static ClipHash Clip(int number) => new((UInt128)(uint)number * 0x9E3779B97F4A7C15UL + 1);

    public FootageHistory Declare(params KitItem[] items)
    {
        foreach (KitItem item in items)
        {
            Write(new KitDeclared(item));
        }

        return this;
    }

    /// <summary>Three drives in three cases, two cameras' cards, one team, the rule "3 copies, 3 drives, 2 cases".</summary>
    public FootageHistory DeclareRidgeKit(int copies = 3, int drives = 3, int cases = 2, Duration? recheckAge = null) => Declare(
        new Trip(Id("winter"), new LocalDate(2027, 2, 1), new LocalDate(2027, 2, 26), Offset.FromHours(5)),
        new Team(Id("ridge"), Id("ridge camp")),
        new FootageSource(Id("camera 1"), Id("ridge"), null, 200, 0.4, null),
        new Card(Id("card 1"), Id("camera 1"), ByteCount.FromGigabytes(256)),
        new Case(Id("case 1"), Id("ridge"), 0.01),
        new Case(Id("case 2"), Id("ridge"), 0.01),
        new Case(Id("case 3"), Id("ridge"), 0.01),
        Drive("drive A", "case 1"),
        Drive("drive B", "case 2"),
        Drive("drive C", "case 3"),
        new CopyRule(Id("rule"), copies, drives, cases, recheckAge, 21));

    public static Drive Drive(string name, string? inCase, double gigabytes = 4000, double annualFailureRate = 0.02, string? batch = null) => new(
        Id(name),
        inCase is null ? null : Id(inCase),
        ByteCount.FromGigabytes(gigabytes),
        DriveMedium.Flash,
        null,
        null,
        annualFailureRate,
        batch is null ? null : Id(batch));

    public FootageHistory See(string card, string insertion, int files, string? source = "camera 1") =>
        Write(new CardSeen(Id(card), Id(insertion), source is null ? null : Id(source), ByteCount.FromGigabytes(256), ByteCount.FromGigabytes(files), files));

    public FootageHistory Find(string card, string insertion, int clip, long size = 1_000_000_000, string? path = null, Instant? recorded = null, double minutes = 2, Duration? timecode = null) =>
        Write(new ClipFound(
            Clip(clip),
            Id(card),
            Id(insertion),
            path ?? $"DCIM/100AAAAA/C{clip:0000}.MP4",
            new ByteCount(size),
            null,
            recorded,
            Duration.FromMinutes(minutes),
            null)
        {
            Timecode = timecode,
        });

    public FootageHistory Made(int clip, string drive, long size = 1_000_000_000) =>
        Write(new CopyMade(Clip(clip), Id(drive), $"2027-02-01/C{clip:0000}.MP4", new ByteCount(size)));

    public FootageHistory Verified(int clip, string drive, long size = 1_000_000_000, ReadBackLevel level = ReadBackLevel.Direct, bool recheck = false) =>
        Write(new CopyVerified(Clip(clip), Id(drive), $"2027-02-01/C{clip:0000}.MP4", new ByteCount(size), level, recheck));

    public FootageHistory Failed(int clip, string drive, CopyFailure failure) =>
        Write(new CopyFailed(Clip(clip), Id(drive), $"2027-02-01/C{clip:0000}.MP4", failure, "as injected", null));

    public FootageHistory State(string drive, string? identity, double freeGigabytes = 3000, double gigabytes = 4000) =>
        Write(new DriveState(Id(drive), ByteCount.FromGigabytes(gigabytes), ByteCount.FromGigabytes(freeGigabytes), DriveHealth.Passed, null, identity));

    public FootageHistory Place(string item, string? into, Instant? since = null) =>
        Write(new KitPlaced(Id(item), into is null ? null : Id(into), "keeper", since));

    public FootageHistory Format(string card, string? lastInsertion, bool inferred = true) =>
        Write(new CardFormatted(Id(card), lastInsertion is null ? null : Id(lastInsertion), inferred));

    public FootageHistory Release(string card, string insertion) =>
        Write(new CardReleased(Id(card), Id(insertion), "keeper", "the river took case 2", "1 clip with 1 copy"));

    public FootageHistory Write(ReportBody body)
    {
        ulong sequence = _sequences.GetValueOrDefault(Station) + 1;
        _sequences[Station] = sequence;
        var report = new Report(new ReportKey(Station, sequence), default, new DeviceTime(Clock, default, 0), body);
        _reports.Add(new TimedReport(report, Clock, ClockTrust.PersonSet));
        Clock += Duration.FromMinutes(1);
        return this;
    }
}
