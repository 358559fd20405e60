using KitMesh.Cli.Commands.Bench;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;

namespace KitMesh.Tests.Cli.Bench;

/// <summary>The judgement of a soak, on made-up memory whose slope is known.</summary>
public sealed class SoakVerdictTests
{
    [Fact]
    public void Of_TooFewSamples_SaysNothing() => Assert.Null(SoakVerdict.Of(Samples(3, minute => 100e6)));

    [Fact]
    public void Of_SteepStartThenFlat_IsConstant()
    {
        SoakVerdict verdict = SoakVerdict.Of(Samples(30, minute => minute <= 10 ? 10e6 * minute : 100e6))!;

        Assert.True(verdict.IsConstant);
        Assert.Equal(11, verdict.FromMinute);
        Assert.Equal(0, verdict.LiveBytesPerHour, 1e-3);
    }

    [Fact]
    public void Of_SlowLeak_GivesItsSlopeAndIsNotConstant()
    {
        // 1 MB a minute on 60 MB: from minute 11 to 30 it gains 19 of 80.5 MB.
        SoakVerdict verdict = SoakVerdict.Of(Samples(30, minute => 60e6 + (1e6 * minute)))!;

        Assert.False(verdict.IsConstant);
        Assert.Equal(60e6, verdict.LiveBytesPerHour, 1);
        Assert.Equal(19 / 80.5, verdict.LiveGrowth, 1e-9);
    }

    [Fact]
    public void Of_WorkingSetAloneGrows_IsNotConstant()
    {
        SoakSample[] samples = [.. Samples(30, minute => 100e6).Select(sample => sample with { WorkingSetBytes = (long)(sample.Minute * 10e6) })];

        Assert.False(SoakVerdict.Of(samples)!.IsConstant);
    }

    [Fact]
    public void Walk_TakenInParts_IsTheSameAsAtOnce_AndItsJournalTellsTheChain()
    {
        RawReport[] whole = IngestLoad.Of(3, 30, 7).Reports;
        var walk = new IngestWalk(3, 7, "");
        var journal = new SoakJournal(walk.Origin);
        journal.Turn(walk.Take(10));
        journal.Turn(walk.Take(20));

        IReadOnlyList<RawReport> read = journal.Read(walk.Origin, new SequenceRange(1, 30), int.MaxValue).Reports;
        Assert.Equal(whole[10..].Select(report => Sha256Hash.Of(report.Bytes.Span)), read.Select(report => Sha256Hash.Of(report.Bytes.Span)));
        Assert.Equal(whole[10..].Select(report => report.Key), read.Select(report => report.Key));
        Sha256Hash chain = whole.Aggregate(ReportChain.Seed(walk.Origin), (before, report) => ReportChain.Next(before, report.Key.Sequence, report.Bytes.Span));
        Assert.Equal(chain, journal.Have(walk.Origin)!.ChainHash);
    }

    private static SoakSample[] Samples(int count, Func<int, double> bytes) =>
        [.. Enumerable.Range(1, count).Select(minute => new SoakSample(minute, 0, (long)bytes(minute), (long)bytes(minute), 0))];
}
