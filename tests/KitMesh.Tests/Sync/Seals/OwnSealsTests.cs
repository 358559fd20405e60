using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Protocol.Reports;
using KitMesh.Sync.Seals;
using KitMesh.TestKit.Sync;
using NodaTime;

namespace KitMesh.Tests.Sync.Seals;

/// <summary>When a node seals, and when it is quiet.</summary>
public sealed class OwnSealsTests
{
    private static readonly OriginId Own = new(NodeId.Parse("ridge-station"), 7);
    private readonly MemoryJournal _journal = new(Own);

    [Fact]
    public void Make_AtTheBeginningOfASession_SealsAllThatIsOpen()
    {
        OwnSeals seals = Seals();
        Write(Reading(), 3);

        OriginSealed seal = Assert.IsType<OriginSealed>(Make(seals, SealOccasion.SessionBegins));

        Assert.Equal(3UL, seal.Sequence);
        Assert.Equal(_journal.ChainAt(Own, 3), seal.Chain);
        Assert.Equal(SealVerdict.Good, new PlainSealKeys().Check(Own.Node, SealMessage.Of(Own, 3, seal.Chain), seal.Signature.AsSpan()));
    }

    [Fact]
    public void Make_WithNothingButASealBehindTheLastOne_StaysQuiet()
    {
        OwnSeals seals = Seals();
        Write(Reading());
        Write(Make(seals, SealOccasion.SessionBegins)!);

        foreach (SealOccasion occasion in Enum.GetValues<SealOccasion>())
        {
            Assert.Null(seals.Make(occasion, Duration.FromDays(2)));
        }
    }

    [Fact]
    public void Make_NothingMoreToSay_SealsWhatOthersActOnAndNotEachReading()
    {
        OwnSeals seals = Seals();
        Write(Reading());
        Assert.Null(Make(seals, SealOccasion.NothingMoreToSay));

        Write(new CopyVerified(new ClipHash(1), KitId.Parse("drive A"), "a", new ByteCount(1), ReadBackLevel.Direct, false));

        Assert.Equal(2UL, Make(seals, SealOccasion.NothingMoreToSay)!.Sequence);
    }

    [Fact]
    public void Make_ReadingsByTheThousandOrTheHour_AreSealed()
    {
        OwnSeals seals = Seals();
        Write(Reading(), OwnSeals.EveryReports - 1);
        Assert.Null(Make(seals, SealOccasion.TimePasses));
        Write(Reading());
        Write(Make(seals, SealOccasion.TimePasses)!);
        Write(Reading());

        Assert.Null(seals.Make(SealOccasion.TimePasses, Duration.FromMinutes(10)));
        Assert.Null(seals.Make(SealOccasion.TimePasses, Duration.FromMinutes(69)));
        Assert.NotNull(seals.Make(SealOccasion.TimePasses, Duration.FromMinutes(70)));
    }

    [Fact]
    public void Make_AfterARestart_KnowsWhatIsSealed()
    {
        Write(Reading(), 5_000);
        Write(Make(Seals(), SealOccasion.SessionBegins)!);

        Assert.Null(Make(Seals(), SealOccasion.SessionBegins));
        Write(Reading());
        Assert.Equal(5_002UL, Make(Seals(), SealOccasion.SessionBegins)!.Sequence);
    }

    [Fact]
    public void Make_InANewEpoch_BeginsAnew()
    {
        OwnSeals seals = Seals();
        Write(Reading());
        Write(Make(seals, SealOccasion.SessionBegins)!);
        _journal.OpenEpoch(8);
        Assert.Null(Make(seals, SealOccasion.SessionBegins));
        Write(Reading());

        Assert.Equal(1UL, Make(seals, SealOccasion.SessionBegins)!.Sequence);
    }

    [Fact]
    public void At_AKeyOfAnotherEpoch_SaysNothingInsteadOfLookingForged()
    {
        OwnSeals seals = Seals();
        Write(Reading());
        DueSeal due = seals.Make(SealOccasion.SessionBegins, Duration.Zero)!;

        Assert.Same(due.Seal, due.At(new ReportKey(Own, 2)));
        var other = new MemoryJournal(Own with { Epoch = 8 });
        other.AppendOwn(key => SealingWriter.Encode(key, due.At(key), Instant.FromUtc(2027, 2, 14, 18, 0)).Bytes.ToArray());
        var book = new SealBook(other, new PlainSealKeys());
        book.Add(ReportCodec.Decode(other.All.Reports.Single()));
        book.Settle();
        Assert.Empty(book.Now.Faults);
    }

    private static TemperatureReading Reading() => new(KitId.Parse("box"), "probe", new Celsius(-4), ReadingSource.Measured);

    private static OriginSealed? Make(OwnSeals seals, SealOccasion occasion) => seals.Make(occasion, Duration.Zero)?.Seal;

    private OwnSeals Seals() => new(_journal, PlainSealKeys.SignerOf(Own.Node), ReportCodec.Decode);

    private void Write(ReportBody body, int times = 1)
    {
        for (int i = 0; i < times; i++)
        {
            _journal.AppendOwn(key => SealingWriter.Encode(key, body, Instant.FromUtc(2027, 2, 14, 18, 0)).Bytes.ToArray());
        }
    }
}
