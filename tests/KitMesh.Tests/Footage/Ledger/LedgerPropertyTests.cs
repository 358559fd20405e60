using CsCheck;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Footage.Ledger;
using KitMesh.TestKit.Footage;
using NodaTime;
using static KitMesh.TestKit.Footage.FootageHistory;

namespace KitMesh.Tests.Footage.Ledger;

/// <summary>Laws of the ledger over random histories: stations, clocks that jump, swapped drives, late notes, formats.</summary>
public sealed class LedgerPropertyTests
{
    private static readonly string[] Drives = ["drive A", "drive B", "drive C"];
    private static readonly string[] Holders = ["case 1", "case 2", "case 3", "case 9", "ridge"];

    /// <summary>One step of a history, as six small numbers: what, clip, drive, level or failure, station, clock jump.</summary>
    private static readonly Gen<FootageHistory> Histories = Gen
        .Select(Gen.Int[0, 24], Gen.Int[0, 3], Gen.Int[0, 2], Gen.Int[0, 4], Gen.Int[0, 1], Gen.Int[-3, 30])
        .Array[1, 60]
        .Select(steps =>
        {
            var history = new FootageHistory().DeclareRidgeKit(copies: 2, drives: 2, cases: 2, recheckAge: Duration.FromDays(30));
            foreach ((int what, int clip, int drive, int level, int station, int jump) in steps)
            {
                Step(history, what, clip, drive, level, station, jump);
            }

            return history;
        });

    [Fact]
    public void AnyOrder_AndDuplicates_GiveTheSameLedger() =>
        Gen.Select(Histories, Gen.Int).Sample((history, seed) =>
        {
            TimedReport[] shuffled = [.. history.Reports, .. history.Reports.Take(history.Reports.Count / 2)];
            new Random(seed).Shuffle(shuffled);
            Instant now = history.Reports.Max(report => report.Time);

            LedgerSnapshot inOrder = FootageLedger.Of(history.Reports).Now(now);
            LedgerSnapshot anyhow = FootageLedger.Of(shuffled).Now(now);

            // Oddities are counted once a report, so duplicates are left out of that one comparison.
            LedgerView expected = inOrder.View(LedgerQuery.All);
            LedgerView actual = anyhow.View(LedgerQuery.All);
            Assert.Equal(expected.Clips, actual.Clips);
            Assert.Equal(expected.Cards, actual.Cards);
            Assert.Equal(expected.Drives, actual.Drives);
            Assert.Equal(expected.Days, actual.Days);
            Assert.Equal(inOrder.Holdings().Groups, anyhow.Holdings().Groups);
        }, iter: 3000);

    [Fact]
    public void AnyOrder_GivesTheSameOddities() =>
        Gen.Select(Histories, Gen.Int).Sample((history, seed) =>
        {
            TimedReport[] shuffled = [.. history.Reports];
            new Random(seed).Shuffle(shuffled);
            Instant now = history.Reports.Max(report => report.Time);

            Assert.Equal(FootageLedger.Of(history.Reports).Now(now).View(LedgerQuery.All), FootageLedger.Of(shuffled).Now(now).View(LedgerQuery.All));
        }, iter: 1000);

    [Fact]
    public void Card_IsNeverReleasedWithoutProofAtThatMoment()
    {
        int released = 0;
        Histories.Sample(history => Interlocked.Add(ref released, ReleasesIn(history)), iter: 400);

        // The law must not hold for want of releases.
        Assert.True(released > 50, $"only {released} releases seen");
    }

    [Fact]
    public void Card_WhereOneStationIsTrusted_IsNeverReleasedOnAnothersWord()
    {
        int released = 0;
        NodeId trusted = NodeId.Parse("station-0");
        Histories.Sample(history =>
        {
            TimedReport[] declared = [.. new FootageHistory { Station = new OriginId(NodeId.Parse("hub"), 1) }
                .Declare(new WatchedAgent(trusted, Id("ridge"), Duration.FromHours(6), MayReportCopies: true))
                .Reports];
            TimedReport[] all = [.. declared, .. history.Reports];
            Instant now = all.Max(report => report.Time);
            CardRow? card = FootageLedger.Of(all).Now(now).Cards.FirstOrDefault(row => row.Card == Id("card 1"));
            if (card is { State: CardState.MayBeFormatted, Override: null, Clips: > 0 })
            {
                // What the others wrote about copies is taken away: what is left must still prove it.
                AssertProven([.. all.Where(report => report.Report.Body is not CopyVerified || report.Report.Key.Origin.Node == trusted)], now);
                Interlocked.Increment(ref released);
            }
        }, iter: 4000);

        Assert.True(released > 5, $"only {released} releases seen");
    }

    [Fact]
    public void BadReport_OfAnyKind_NeverReleasesACard()
    {
        int held = 0;
        Gen.Select(Histories, Gen.Int[0, 9], Gen.Int[0, 1], Gen.Int[0, 2]).Sample((history, kind, clip, drive) =>
        {
            history.Declare(
                new WatchedAgent(NodeId.Parse("station-0"), Id("ridge"), Duration.FromHours(6), MayReportCopies: true, MayRelease: true),
                new WatchedAgent(NodeId.Parse("station-1"), Id("ridge"), Duration.FromHours(6), MayReportCopies: true));
            Instant now = history.Reports.Max(report => report.Time);
            if (StateOf(history, now) != CardState.OnHold)
            {
                return;
            }

            AddBad(history, kind, clip, Drives[drive]);
            CardState? state = StateOf(history, now);

            // Finding a clip can open a visit that the history calls formatted already: that tells the past and releases nothing.
            bool tellsThePast = kind == 9 && state == CardState.Formatted;
            Assert.True(tellsThePast || state is CardState.OnHold or CardState.FormattedShort, $"{state} by bad input {kind}");
            Interlocked.Increment(ref held);
        }, iter: 4000);

        Assert.True(held > 500, $"only {held} cards on hold seen");
    }

    private static CardState? StateOf(FootageHistory history, Instant now) =>
        FootageLedger.Of(history.Reports).Now(now).Cards.FirstOrDefault(row => row.Card == Id("card 1"))?.State;

    /// <summary>Each kind of bad input that the ledger must keep, show, and never take for proof.</summary>
    private static void AddBad(FootageHistory history, int kind, int clip, string drive)
    {
        Instant clock = history.Clock;
        history.Station = new OriginId(NodeId.Parse(kind is 0 or 1 ? "stranger" : "station-1"), 1);
        history.Clock = kind == 5 ? FootageHistory.Start - Duration.FromDays(400) : clock;
        _ = kind switch
        {
            0 => history.Verified(clip, drive),
            1 => history.Release("card 1", $"v{1 + clip}"),
            2 => history.Verified(clip, drive, size: -1),
            3 => history.Verified(clip, drive, size: 999_999_999),
            4 => history.Verified(clip, drive, level: ReadBackLevel.Cached),
            5 => history.Verified(clip, drive),
            6 => history.State(drive, "never seen before"),
            7 => history.Place(drive, "a case that nobody declared"),
            8 => history.Release("card 1", "a visit that never was"),
            _ => history.Find("card 1", "v2", clip, size: -7),
        };
        history.Clock = clock;
    }

    [Fact]
    public void Pages_TogetherAreTheWholeLedger() => Gen.Select(Histories, Gen.Int[1, 3]).Sample((history, size) =>
    {
        LedgerSnapshot ledger = FootageLedger.Of(history.Reports).Now(history.Reports.Max(report => report.Time));
        LedgerView whole = ledger.View(LedgerQuery.All);
        List<ClipRow> paged = [];
        while (ledger.View(LedgerQuery.All with { Skip = paged.Count, Limit = size }) is { Clips.Count: > 0 } page)
        {
            paged.AddRange(page.Clips);
        }

        Assert.Equal(whole.Clips, paged);
    }, iter: 200);

    private static int ReleasesIn(FootageHistory history)
    {
        int released = 0;

        // At every moment of the history, with what was known then.
        for (int known = 1; known <= history.Reports.Count; known++)
        {
            TimedReport[] reports = [.. history.Reports.Take(known)];
            Instant now = reports.Max(report => report.Time);
            CardRow? card = FootageLedger.Of(reports).Now(now).Cards.FirstOrDefault(row => row.Card == Id("card 1"));
            if (card is { State: CardState.MayBeFormatted, Override: null })
            {
                AssertProven(reports, now);
                released += card.Clips > 0 ? 1 : 0;
            }
        }

        return released;
    }

    /// <summary>
    /// An independent and much simpler reading of what proof needs at the least: for each clip of the latest visit, raw
    /// reports of two drives in two declared cases, each with a good reading and no later failure in the same journal.
    /// </summary>
    private static void AssertProven(TimedReport[] reports, Instant now)
    {
        IEnumerable<ClipHash> onCard = reports
            .Select(report => report.Report.Body)
            .OfType<ClipFound>()
            .Where(found => found.Insertion == LatestInsertion(reports))
            .Select(found => found.Clip);
        foreach (ClipHash clip in onCard)
        {
            int drives = Drives.Count(drive => reports.Any(report => Proves(report, clip, drive, reports, now)));
            Assert.True(drives >= 2, $"{clip} is released with {drives} drives");
        }
    }

    private static KitId? LatestInsertion(TimedReport[] reports)
    {
        // The visit whose first report is latest.
        return reports
            .Select(report => (report.Time, Insertion: report.Report.Body switch
            {
                CardSeen seen => (KitId?)seen.Insertion,
                ClipFound found => found.Insertion,
                _ => null,
            }))
            .Where(seen => seen.Insertion is not null)
            .GroupBy(seen => seen.Insertion)
            .OrderBy(visit => visit.Min(seen => seen.Time))
            .ThenBy(visit => visit.Key)
            .LastOrDefault()?.Key;
    }

    private static bool Proves(TimedReport report, ClipHash clip, string drive, TimedReport[] all, Instant now) =>
        report.Report.Body is CopyVerified { Level: >= ReadBackLevel.CacheDropped, Size.Value: 1_000_000_000 } copy
        && copy.Clip == clip
        && copy.Drive == Id(drive)
        && report.Time <= now
        && all.Any(other => other.Report.Body is ClipFound found && found.Clip == clip && other.Time <= report.Time)
        && !all.Any(other =>
            other.Report.Body is CopyFailed { Failure: CopyFailure.HashDiffers or CopyFailure.Missing or CopyFailure.ReadBackFailed } failed
            && failed.Clip == clip
            && failed.Drive == Id(drive)
            && other.Report.Key.Origin == report.Report.Key.Origin
            && other.Report.Key.Sequence > report.Report.Key.Sequence);

    private static void Step(FootageHistory history, int what, int clip, int drive, int level, int station, int jump)
    {
        history.Station = new OriginId(NodeId.Parse($"station-{station}"), 1);
        history.Clock += Duration.FromMinutes(jump);
        clip /= 2;
        string visit = $"v{1 + clip}";
        _ = what switch
        {
            0 or 1 => history.See("card 1", visit, 1 + level),
            >= 2 and < 6 => history.Find("card 1", visit, clip, level == 4 && jump == 0 ? -1 : 1_000_000_000),
            6 => history.Made(clip, Drives[drive]),
            >= 7 and < 19 => history.Verified(clip, Drives[drive], level == 0 ? 5 : 1_000_000_000, (ReadBackLevel)level),
            19 => history.Failed(clip, Drives[drive], (CopyFailure)(2 + level)),
            20 => history.State(Drives[drive], level < 3 ? $"id-{drive}" : $"id-{level}"),
            21 => history.Place(Drives[drive], level < 4 ? Holders[level] : null, level == 2 ? history.Clock - Duration.FromHours(5) : null),
            22 => history.Format("card 1", level < 2 ? visit : null, level < 3),
            _ => history.Place("case 2", Holders[level]),
        };
    }
}
