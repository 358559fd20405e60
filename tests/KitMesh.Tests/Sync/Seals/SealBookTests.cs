using CsCheck;
using KitMesh.Domain;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.Reports;
using KitMesh.Sync.Seals;
using KitMesh.TestKit.Sync;
using NodaTime;

namespace KitMesh.Tests.Sync.Seals;

/// <summary>What seals attest, with gaps, forks, forgeries and any order of arrival.</summary>
public sealed class SealBookTests
{
    private static readonly OriginId Station = new(NodeId.Parse("ridge-station"), 7);
    private static readonly OriginId Hub = new(NodeId.Parse("base-camp"), 1);
    private readonly PlainSealKeys _keys = new();

    [Fact]
    public void Settle_WhatASealCovers_IsSealedAndTheRestIsNot()
    {
        SealStanding standing = Standing(new SealingWriter(Station).Note("a", "b").Seal().Note("c").All);

        Assert.Equal(SequenceRanges.Of(1, 2), standing.SealedOf(Station));
        Assert.False(standing.IsAttested(new ReportKey(Station, 4)));
        Assert.Empty(standing.Faults);
    }

    [Fact]
    public void Settle_AlteredOnTheWay_ThatPieceProvesNothingAndIsNamed()
    {
        List<RawReport> reports = [.. new SealingWriter(Station).Note("a", "b").Seal().Note("c", "d").Seal().Note("e").Seal().All];
        reports[4] = Forged(5, "another");

        SealStanding standing = Standing(reports);

        Assert.Equal("1..2, 6..7", standing.SealedOf(Station).ToString());
        Assert.Equal([new SealFault(Station, 3, 5, WrongSignature: false)], standing.Faults);
    }

    [Fact]
    public void Settle_AWrongSignature_IsNamedAndProvesNothing()
    {
        List<RawReport> reports = [.. new SealingWriter(Station, PlainSealKeys.SignerOf(NodeId.Parse("forger"))).Note("invented").Seal().All];

        SealStanding standing = Standing(reports);

        Assert.True(standing.SealedOf(Station).IsEmpty);
        Assert.Equal([new SealFault(Station, 1, 1, WrongSignature: true)], standing.Faults);
    }

    [Fact]
    public void Settle_ASealOfAnotherOriginOrEpoch_ProvesNothing()
    {
        var other = new SealingWriter(Station with { Epoch = 8 }).Note("a").Seal();
        RawReport moved = other.All[1];

        SealStanding standing = Standing([.. new SealingWriter(Station).Note("a").All, new RawReport(new ReportKey(Station, 2), moved.Bytes)]);

        Assert.True(standing.SealedOf(Station).IsEmpty);
        Assert.True(Assert.Single(standing.Faults).WrongSignature);
    }

    [Fact]
    public void Settle_WithoutTheCertificate_WaitsForIt()
    {
        _keys.Hide(Station.Node);
        MemoryJournal journal = Journal(new SealingWriter(Station).Note("a").Seal().All);
        SealBook book = Book(journal);
        Assert.True(book.Now.SealedOf(Station).IsEmpty);
        Assert.Empty(book.Now.Faults);

        _keys.Show(Station.Node);
        book.Settle();

        Assert.Equal(SequenceRanges.Of(1, 1), book.Now.SealedOf(Station));
    }

    [Fact]
    public void Settle_BehindAGapThatNobodyFills_TheNextSealIsTheStartingPoint()
    {
        IReadOnlyList<RawReport> all = new SealingWriter(Station).Note("a", "b").Seal().Note("lost").Note("c").Seal().Note("d").Seal().All;

        SealStanding standing = Standing([.. all.Where(report => report.Key.Sequence != 4)]);

        Assert.Equal("1..2, 6..7", standing.SealedOf(Station).ToString());
        Assert.Empty(standing.Faults);
    }

    [Fact]
    public void Settle_AForgedSecondContent_TheForkProvesNothingAndItsNeighboursDo()
    {
        IReadOnlyList<RawReport> all = new SealingWriter(Station).Note("a", "b", "c").Seal().All;

        SealStanding standing = Standing([Forged(2, "another"), .. all]);

        Assert.True(standing.IsSealed(new ReportKey(Station, 1)));
        Assert.False(standing.IsAttested(new ReportKey(Station, 2)));
        Assert.True(standing.IsSealed(new ReportKey(Station, 3)));
        Assert.Empty(standing.Faults);
    }

    [Fact]
    public void Settle_TheDiskLosesOneContentOfAFork_TheForkStillProvesNothing()
    {
        IReadOnlyList<RawReport> all = new SealingWriter(Station).Note("a", "b", "c").Seal().All;
        RawReport forged = Forged(2, "another");
        MemoryJournal journal = Journal([forged, .. all]);
        SealBook book = Book(journal);

        journal.LoseFork(forged);
        book.Touch(Station);
        book.Settle();

        Assert.True(book.Now.IsSealed(new ReportKey(Station, 3)));
        Assert.False(book.Now.IsAttested(new ReportKey(Station, 2)));
    }

    [Fact]
    public void Settle_MoreForksThanWaysAreFollowed_ProvesNothing()
    {
        IReadOnlyList<RawReport> all = new SealingWriter(Station).Note("a", "b", "c", "d", "e", "f", "g", "h").Seal().All;

        SealStanding standing = Standing([.. all, .. Enumerable.Range(1, 7).Select(i => Forged((ulong)i, "another"))]);

        Assert.True(standing.SealedOf(Station).IsEmpty);
    }

    [Fact]
    public void Settle_ADiskPutBackThatSealedBothHistories_BothAreCoveredAndTheForkIsNot()
    {
        SealingWriter first = new SealingWriter(Station).Note("a").Seal();
        SealingWriter second = first.Twin();
        first.Note("b").Seal().Note("c");
        second.Note("other b", "other c").Seal();

        SealStanding standing = Standing([.. first.All, .. second.All.Skip(2)]);

        Assert.True(standing.IsSealed(new ReportKey(Station, 1)));
        Assert.False(standing.IsSealed(new ReportKey(Station, 3)));
        Assert.Contains(new ReportKey(Station, 3).Sequence, Sequences(standing.SealedOf(Station)));
    }

    [Fact]
    public void Settle_TakenDirectly_CountsOnTheHubThatTookItAlone()
    {
        IReadOnlyList<RawReport> unsealed = new SealingWriter(Station).Note("a", "b").All;
        var own = new SealingWriter(Hub);
        own.Write(Taken(unsealed));
        MemoryJournal here = Journal([.. unsealed, .. own.All], Hub);
        MemoryJournal there = Journal([.. unsealed, .. own.Seal().All], new OriginId(NodeId.Parse("ridge-hub"), 3));

        Assert.True(Book(here).Now.IsAttested(new ReportKey(Station, 2)));
        Assert.False(Book(here).Now.IsSealed(new ReportKey(Station, 2)));
        Assert.False(Book(there).Now.IsAttested(new ReportKey(Station, 2)));
    }

    [Fact]
    public void Settle_TakenDirectlyInTheNameOfAnotherEpochOfThisHub_IsNotItsWordUntilSealed()
    {
        IReadOnlyList<RawReport> unsealed = new SealingWriter(Station).Note("invented").All;
        var invented = new SealingWriter(Hub with { Epoch = 66 }, PlainSealKeys.SignerOf(NodeId.Parse("forger")));
        invented.Write(Taken(unsealed));
        var older = new SealingWriter(Hub with { Epoch = 65 });
        older.Write(Taken(unsealed));

        Assert.False(Book(Journal([.. unsealed, .. invented.Seal().All], Hub)).Now.IsAttested(new ReportKey(Station, 1)));
        Assert.True(Book(Journal([.. unsealed, .. older.Seal().All], Hub)).Now.IsAttested(new ReportKey(Station, 1)));
    }

    [Fact]
    public void Settle_TakenDirectlyOfOtherContents_DoesNotCount()
    {
        IReadOnlyList<RawReport> unsealed = new SealingWriter(Station).Note("a").All;
        var own = new SealingWriter(Hub);
        own.Write(Taken(unsealed));

        Assert.False(Book(Journal([Forged(1, "another"), .. own.All], Hub)).Now.IsAttested(new ReportKey(Station, 1)));
    }

    /// <summary>Whatever relays do (alter, invent, hold back) and in whatever order and pieces things come, hubs with the same reports come to the same.</summary>
    [Fact]
    public void Settle_AnyOrderAndGrouping_GivesTheSame() => Gen.Int.Sample(
        seed =>
        {
            var random = new Random(seed);
            RawReport[] reports = [.. Story(random)];
            SealStanding whole = Standing(reports);
            random.Shuffle(reports);
            var journal = new MemoryJournal(new OriginId(NodeId.Parse("ridge-hub"), 3));
            var book = new SealBook(journal, _keys);
            foreach (RawReport report in reports)
            {
                journal.Append([report]);
                book.Add(ReportCodec.Decode(report));
                if (random.Next(3) == 0)
                {
                    book.Settle();
                }
            }

            book.Settle();

            Assert.Equal(whole.SealedOf(Station).ToString(), book.Now.SealedOf(Station).ToString());
            Assert.Equal(whole.Faults.Order(Comparer<SealFault>.Create((a, b) => a.First.CompareTo(b.First))), book.Now.Faults.Order(Comparer<SealFault>.Create((a, b) => a.First.CompareTo(b.First))));
            for (ulong i = 1; i < 30; i++)
            {
                Assert.Equal(whole.IsAttested(new ReportKey(Station, i)), book.Now.IsAttested(new ReportKey(Station, i)));
            }
        },
        iter: 2_000);

    /// <summary>Nothing that the station did not write is ever attested.</summary>
    [Fact]
    public void Settle_AnyForgery_NeverAttestsWhatTheStationDidNotWrite() => Gen.Int.Sample(
        seed =>
        {
            var random = new Random(seed);
            List<RawReport> told = [.. Story(random)];
            HashSet<Sha256Hash> honest = [.. _written.Select(report => Sha256Hash.Of(report.Bytes.Span))];
            SealStanding standing = Standing(told);
            foreach (IGrouping<ReportKey, RawReport> sequence in told.GroupBy(report => report.Key))
            {
                if (standing.IsAttested(sequence.Key))
                {
                    Assert.All(sequence, report => Assert.Contains(Sha256Hash.Of(report.Bytes.Span), honest));
                }
            }
        },
        iter: 2_000,
        threads: 1);

    private IReadOnlyList<RawReport> _written = [];

    /// <summary>What a station wrote, with a forger's additions: altered, replaced, invented reports and seals, and some held back.</summary>
    private List<RawReport> Story(Random random)
    {
        var writer = new SealingWriter(Station);
        for (int i = random.Next(3, 20); i > 0; i--)
        {
            _ = random.Next(4) == 0 ? writer.Seal() : writer.Note($"note {i}");
        }

        _written = writer.All;
        var told = new List<RawReport>();
        foreach (RawReport report in writer.All)
        {
            switch (random.Next(12))
            {
                case 0:
                    told.Add(Forged(report.Key.Sequence, "altered"));
                    break;
                case 1:
                    told.Add(report);
                    told.Add(Forged(report.Key.Sequence, "added"));
                    break;
                case 2:
                    break;
                default:
                    told.Add(report);
                    break;
            }
        }

        ulong next = (ulong)writer.All.Count + 1;
        if (random.Next(2) == 0)
        {
            told.Add(Forged(next, "invented"));
            var forger = new SealingWriter(Station, PlainSealKeys.SignerOf(NodeId.Parse("forger")));
            forger.Note([.. Enumerable.Range(0, (int)next).Select(i => "x")]);
            told.Add(forger.Seal().All[^1]);
        }

        return told;
    }

    private static TakenDirectly Taken(IReadOnlyList<RawReport> reports) => new(
        reports[0].Key.Origin,
        reports[0].Key.Sequence,
        reports[^1].Key.Sequence,
        SealContents.Of(reports.Select(report => new ReportContent(report.Key.Sequence, Sha256Hash.Of(report.Bytes.Span)))));

    private static IEnumerable<ulong> Sequences(SequenceRanges ranges) => ranges.SelectMany(range => Enumerable.Range(0, (int)range.Count).Select(i => range.First + (ulong)i));

    private static RawReport Forged(ulong sequence, string text) =>
        SealingWriter.Encode(new ReportKey(Station, sequence), new Note("forger", null, text), Instant.FromUtc(2027, 2, 14, 18, 0));

    private SealStanding Standing(IReadOnlyList<RawReport> reports) => Book(Journal(reports)).Now;

    private static MemoryJournal Journal(IReadOnlyList<RawReport> reports, OriginId? own = null)
    {
        var journal = new MemoryJournal(own ?? new OriginId(NodeId.Parse("ridge-hub"), 3));
        foreach (RawReport report in reports)
        {
            journal.Append([report]);
        }

        return journal;
    }

    private SealBook Book(MemoryJournal journal)
    {
        var book = new SealBook(journal, _keys);
        foreach (RawReport report in journal.All.Reports)
        {
            book.Add(ReportCodec.Decode(report));
        }

        book.Settle();
        return book;
    }
}
