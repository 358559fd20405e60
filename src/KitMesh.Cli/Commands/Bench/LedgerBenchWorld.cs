using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Domain.Time;
using NodaTime;

namespace KitMesh.Cli.Commands.Bench;

/// <summary>A made-up trip of any size: 26 days, three teams, six cameras, drives in their own cases.</summary>
/// <remarks>
/// The reports of each drive come from a station of their own and, as on a mesh that meets once a day, in blocks of a
/// whole visit a drive, not clip by clip. One clip in 500 lacks its last copy, one in 1,000 failed a recheck.
/// </remarks>
internal sealed class LedgerBenchWorld(int clips, int copies, int drives)
{
    private const int Days = 26;
    private const int Sources = 6;
    private const long ClipBytes = 1_500_000_000;

    private static readonly Instant Start = Instant.FromUtc(2027, 2, 1, 6, 0);
    private static readonly LocalDate FirstDay = new(2027, 2, 1);

    private readonly int _perVisit = Math.Max(1, clips / (Days * Sources));

    public Instant Now => Start + Duration.FromDays(Days);

    public IEnumerable<TimedReport> Reports()
    {
        ulong[] sequences = new ulong[drives + 1];
        foreach (KitItem item in Kit())
        {
            yield return Written(0, ++sequences[0], Start, new KitDeclared(item));
        }

        for (int first = 0; first < clips; first += _perVisit)
        {
            int visit = first / _perVisit;
            int count = Math.Min(_perVisit, clips - first);
            Instant time = Start + Duration.FromMinutes(Days * 24 * 60 * 0.95 * first / clips);
            KitId card = Card(visit);
            KitId insertion = KitId.Parse($"visit {visit}");
            yield return Written(0, ++sequences[0], time, new CardSeen(card, insertion, Source(visit), ByteCount.FromGigabytes(2000), ByteCount.FromGigabytes(1), count));
            for (int i = 0; i < count; i++)
            {
                yield return Written(0, ++sequences[0], time, Found(first + i, card, insertion, visit, time));
            }

            for (int copy = 0; copy < copies; copy++)
            {
                // Where there are more drives than copies, each visit begins one drive further on.
                int drive = (copy + (drives > copies ? visit : 0)) % drives;
                Instant copied = time + Duration.FromHours(1 + copy);
                for (int i = 0; i < count; i++)
                {
                    foreach (ReportBody body in Copies(first + i, copy, drive))
                    {
                        yield return Written(drive + 1, ++sequences[drive + 1], copied, body);
                    }
                }
            }

            yield return Written(0, ++sequences[0], time + Duration.FromHours(12), new CardFormatted(card, insertion, Inferred: true));
        }
    }

    public IEnumerable<LedgerQuery> Queries(int round)
    {
        int clip = (int)((long)round * clips / 23 % clips);
        yield return new LedgerQuery(Clip: Hash(clip));
        yield return new LedgerQuery(Card: Card(clip / _perVisit));
        yield return new LedgerQuery(Day: FirstDay.PlusDays(round % Days));
        yield return new LedgerQuery(Drive: Drive(round % drives));
        yield return new LedgerQuery(Case: KitId.Parse($"case {round % drives}"));
        yield return new LedgerQuery(Team: KitId.Parse($"team {round % 3}"), ShortOnly: true);
        yield return LedgerQuery.All;
    }

    private static KitId Drive(int number) => KitId.Parse($"drive {number}");

    private static KitId Card(int visit) => KitId.Parse($"card {visit % (Sources * 2)}");

    private static KitId Source(int visit) => KitId.Parse($"camera {visit % Sources}");

    private static ClipHash Hash(int clip) => new(new UInt128((ulong)clip * 0x9E3779B97F4A7C15UL, (ulong)clip * 0xD1B54A32D192ED03UL));

    private static string Path(int clip) => $"DCIM/{100 + (clip / 1000 % 900)}AAAAA/C{clip % 10_000:0000}.MP4";

    private static ClipFound Found(int clip, KitId card, KitId insertion, int visit, Instant time) =>
        new(Hash(clip), card, insertion, Path(clip), new ByteCount(ClipBytes), Source(visit), time - Duration.FromHours(3), Duration.FromMinutes(2), null);

    private static TimedReport Written(int station, ulong sequence, Instant time, ReportBody body)
    {
        var origin = new OriginId(NodeId.Parse($"station-{station}"), 1);
        return new TimedReport(new Report(new ReportKey(origin, sequence), default, new DeviceTime(time, default, 0), body), time, ClockTrust.PersonSet);
    }

    private IEnumerable<ReportBody> Copies(int clip, int copy, int drive)
    {
        if (clip % 500 == 0 && copy == copies - 1)
        {
            yield break;
        }

        string path = $"day/{Path(clip)}";
        yield return new CopyMade(Hash(clip), Drive(drive), path, new ByteCount(ClipBytes));
        yield return new CopyVerified(Hash(clip), Drive(drive), path, new ByteCount(ClipBytes), ReadBackLevel.Direct, Recheck: false);
        if (clip % 1000 == 1 && copy == 0)
        {
            yield return new CopyFailed(Hash(clip), Drive(drive), path, CopyFailure.HashDiffers, "as made up", null);
        }
    }

    private IEnumerable<KitItem> Kit()
    {
        yield return new Trip(KitId.Parse("winter"), FirstDay, FirstDay.PlusDays(Days - 1), Offset.FromHours(5));
        yield return new CopyRule(KitId.Parse("rule"), Math.Min(3, copies), Math.Min(3, copies), Math.Min(2, copies), null, 21);
        for (int team = 0; team < 3; team++)
        {
            yield return new Team(KitId.Parse($"team {team}"), KitId.Parse("camp"));
        }

        for (int source = 0; source < Sources; source++)
        {
            yield return new FootageSource(Source(source), KitId.Parse($"team {source % 3}"), null, 300, 0.4, null);
        }

        for (int drive = 0; drive < drives; drive++)
        {
            yield return new Case(KitId.Parse($"case {drive}"), KitId.Parse($"team {drive % 3}"), 0.01);
            yield return new Drive(Drive(drive), KitId.Parse($"case {drive}"), ByteCount.FromGigabytes(16_000), DriveMedium.Flash, null, null, 0.0157, null);
        }
    }
}
