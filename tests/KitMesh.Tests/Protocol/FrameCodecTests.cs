using CsCheck;
using Google.Protobuf;
using KitMesh.Domain;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Protocol.Exchange;
using KitMesh.TestKit.Reports;
using NodaTime;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Tests.Protocol;

public sealed class FrameCodecTests
{
    private static readonly OriginId Origin = new(NodeId.Parse("power-1"), ulong.MaxValue);
    private static readonly Sha256Hash Hash = Sha256Hash.Of([1]);

    public static TheoryData<SessionFrame> Frames =>
    [
        new HelloFrame(1, 3, NodeId.Parse("base-camp"), NodeRole.Hub, "kitmesh 0.1", 1, 1 << 20, ReportSamples.Clock, ClockTrust.NetworkSet, ReportSamples.Hybrid),
        new HoldingsFrame([new Holding(Origin, SequenceRanges.Of(1, 7).With(new SequenceRange(9, 12)), 7, Hash, true)], true),
        new HoldingsFrame([], false),
        new DurableFrame([new DurableOrigin(Origin, SequenceRanges.Of(3, 9))]),
        new DurableFrame([new DurableOrigin(Origin, SequenceRanges.Of(3, 9), 9, Hash)]),
        new CreditFrame(65_536),
        new ClockProbeFrame(4),
        new ClockEchoFrame(4, ReportSamples.Clock, ClockTrust.SatelliteFix),
        new RestFrame(17),
        new FingerprintFrame(Hash, null, 0),
        new FingerprintFrame(Hash, Hash, 1),
        new CompareFrame(Origin, [new RangeHash(new SequenceRange(1, ulong.MaxValue - 1), Hash)]),
        new ContentsFrame(Origin, new SequenceRange(5, 6), [new ReportContent(5, Hash), new ReportContent(6, Hash)], true),
        new ByeFrame(ByeReason.GoingAway, "Going to sleep."),
    ];

    [Theory]
    [MemberData(nameof(Frames))]
    public void Read_OfWrite_GivesTheFrameBack(SessionFrame frame) =>
        Assert.Equal(frame, FrameCodec.Read(V1.Frame.Parser.ParseFrom(FrameCodec.Write(frame).ToByteArray())));

    [Fact]
    public void Read_OfWrite_Reports_KeepsTheBytes()
    {
        byte[][] reports = [[1, 2, 3], [], [4]];
        var frame = new ReportsFrame(Origin, 41, [.. reports.Select(report => new ReadOnlyMemory<byte>(report))]);

        var read = Assert.IsType<ReportsFrame>(FrameCodec.Read(V1.Frame.Parser.ParseFrom(FrameCodec.Write(frame).ToByteArray())));

        Assert.Equal((Origin, 41UL), (read.Origin, read.FirstSequence));
        Assert.Equal(reports, read.Reports.Select(report => report.ToArray()));
        Assert.Equal(4 + (3 * ReportsFrame.CostPerReport), read.Cost);
    }

    [Fact]
    public void Read_OfWrite_MoreRangesThanAFrameHas_TheLowestAreTold()
    {
        SequenceRanges torn = SequenceRanges.FromUnordered([.. Enumerable.Range(1, 5_000).Select(i => new SequenceRange((ulong)i * 2, (ulong)i * 2))]);
        SequenceRanges told = SequenceRanges.FromUnordered([.. torn.Take(4_096)]);

        Assert.Equal(
            new HoldingsFrame([new Holding(Origin, told, 0, default, true)], true),
            FrameCodec.Read(FrameCodec.Write(new HoldingsFrame([new Holding(Origin, torn, 0, default, true)], true))));
        Assert.Equal(new DurableFrame([new DurableOrigin(Origin, told)]), FrameCodec.Read(FrameCodec.Write(new DurableFrame([new DurableOrigin(Origin, torn)]))));
    }

    [Fact]
    public void Read_AnyMessage_NeverThrows() => Gen.Byte.Array[0, 120].Sample(
        bytes =>
        {
            V1.Frame frame;
            try
            {
                frame = V1.Frame.Parser.ParseFrom(bytes);
            }
            catch (InvalidProtocolBufferException)
            {
                return;
            }

            Assert.NotNull(FrameCodec.Read(frame));
        },
        iter: 20_000);

    [Fact]
    public void Read_PastTheBounds_SaysWhich()
    {
        Assert.Contains("257 origins; 256 are allowed", Odd(new V1.Frame { Holdings = Many(257) }), StringComparison.Ordinal);
        Assert.Contains("4097 reports", Odd(new V1.Frame { Reports = Batch(4_097, 1) }), StringComparison.Ordinal);
        Assert.Contains("65536 are allowed", Odd(new V1.Frame { Reports = Batch(1, 65_537) }), StringComparison.Ordinal);
        Assert.Contains("1048576 are allowed", Odd(new V1.Frame { Reports = Batch(17, 65_536) }), StringComparison.Ordinal);
        Assert.Contains("credit is out of range", Odd(new V1.Frame { Credit = new V1.Credit { Bytes = ulong.MaxValue } }), StringComparison.Ordinal);
        Assert.Contains("hash has 3 bytes instead of 32", Odd(Compare(3)), StringComparison.Ordinal);
        Assert.Contains("origin is missing", Odd(new V1.Frame { Durable = new V1.Durable { Origins = { new V1.DurableOrigin() } } }), StringComparison.Ordinal);
    }

    [Fact]
    public void Read_NoKind_IsPassedOver() => Assert.False(Assert.IsType<OddFrame>(FrameCodec.Read(new V1.Frame())).Malformed);

    [Fact]
    public void Write_OddFrame_Throws() => Assert.Throws<ArgumentException>(() => FrameCodec.Write(new OddFrame(false, "")));

    [Fact]
    public void BulkReadings_Gzipped_TakeAtMost24BytesEach()
    {
        var random = new Random(7);
        var clock = new DeviceTime(Instant.FromUtc(2027, 2, 3, 6, 0), new BootId(0x1234_5678_9ABC_DEF0), 86_400_000_000_000);
        double celsius = -20;
        var reports = new ReadOnlyMemory<byte>[1_000];
        for (int i = 0; i < reports.Length; i++)
        {
            // About every 10 s, to the 100 ns that clocks tick in; steps of a sixteenth, as 1-Wire thermometers give.
            long passed = random.NextInt64(99_000_000, 101_000_000) * 100;
            clock = clock with { Wall = clock.Wall + Duration.FromNanoseconds(passed), MonotonicNanoseconds = clock.MonotonicNanoseconds + passed + random.Next(1_000) };
            celsius += random.Next(-1, 2) / 16.0;
            var reading = new TemperatureReading(KitId.Parse("ridge box"), "28-0000075bcd15", new KitMesh.Domain.Quantities.Celsius(celsius));
            reports[i] = KitMesh.Protocol.Reports.ReportCodec.Encode(HybridTime.From(clock.Wall.ToUnixTimeMilliseconds(), 0), clock, reading);
        }

        byte[] message = new V1.ExchangeRequest { Frame = FrameCodec.Write(new ReportsFrame(Origin, 1, reports)) }.ToByteArray();
        using var packed = new MemoryStream();
        using (var gzip = new System.IO.Compression.GZipStream(packed, System.IO.Compression.CompressionLevel.Fastest, leaveOpen: true))
        {
            gzip.Write(message);
        }

        Assert.InRange(packed.Length / (double)reports.Length, 5, 24);
    }

    private static V1.Holdings Many(int origins)
    {
        var message = new V1.Holdings();
        message.Holdings_.AddRange(Enumerable.Range(0, origins).Select(_ => new V1.Holding { Origin = OriginCodec.Write(Origin) }));
        return message;
    }

    private static V1.Reports Batch(int reports, int bytes)
    {
        var message = new V1.Reports { Origin = OriginCodec.Write(Origin), FirstSequence = 1 };
        message.Reports_.AddRange(Enumerable.Repeat(ByteString.CopyFrom(new byte[bytes]), reports));
        return message;
    }

    private static V1.Frame Compare(int hashBytes) => new()
    {
        Compare = new V1.Compare
        {
            Origin = OriginCodec.Write(Origin),
            Ranges = { new V1.RangeHash { Range = new V1.SequenceRange { First = 1, Last = 2 }, Hash = ByteString.CopyFrom(new byte[hashBytes]) } },
        },
    };

    private static string Odd(V1.Frame frame)
    {
        var odd = Assert.IsType<OddFrame>(FrameCodec.Read(frame));
        Assert.True(odd.Malformed);
        return odd.Words;
    }
}
