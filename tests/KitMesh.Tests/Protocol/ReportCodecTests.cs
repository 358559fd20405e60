using CsCheck;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Protocol.Reports;
using KitMesh.TestKit.Reports;
using NodaTime;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Tests.Protocol;

public sealed class ReportCodecTests
{
    private static readonly ReportKey Key = ReportSamples.Key;

    [Fact]
    public void Decode_OfEncode_GivesTheReportBack() => Gen.Int.Sample(
        seed =>
        {
            Report report = new ReportDraw(seed).Report();
            Assert.Equal(report, ReportCodec.Decode(report.Key, ReportCodec.Encode(report)));
        },
        iter: 5_000);

    [Fact]
    public void Encode_OfDecodeOfEncode_GivesTheSameBytes() => Gen.Int.Sample(
        seed =>
        {
            byte[] bytes = ReportCodec.Encode(new ReportDraw(seed).Report());
            Assert.Equal(bytes, ReportCodec.Encode(ReportCodec.Decode(Key, bytes)));
        },
        iter: 2_000);

    [Fact]
    public void Decode_AnyBytes_NeverThrows() => Gen.Byte.Array[0, 200].Sample(
        bytes => Assert.NotNull(ReportCodec.Decode(Key, bytes).Body),
        iter: 20_000);

    [Fact]
    public void Decode_DamagedReports_NeverThrow() => Gen.Select(Gen.Int, Gen.Int[0, 400], Gen.Byte, Gen.Int[0, 400]).Sample(
        (seed, at, value, length) =>
        {
            byte[] bytes = ReportCodec.Encode(new ReportDraw(seed).Report());
            bytes[at % bytes.Length] = value;
            Assert.NotNull(ReportCodec.Decode(Key, bytes.AsSpan(0, Math.Min(bytes.Length, length))).Body);
        },
        iter: 20_000);

    [Fact]
    public void Decode_KindOfALaterVersion_SaysWhichAndKeepsItsTimes()
    {
        // Field 59 (kind 49) with three bytes of content, behind an ordinary header.
        byte[] bytes = [.. ReportCodec.Encode(new V1.Report { HybridTime = 77, Boot = 5, MonotonicNanos = 9 }), 0xDA, 0x03, 3, 1, 2, 3];

        Report report = ReportCodec.Decode(Key, bytes);

        Assert.Equal("it is of kind 49, which this version does not know", Assert.IsType<UnknownBody>(report.Body).Reason);
        Assert.Equal(new HybridTime(77), report.Hybrid);
        Assert.Equal(new DeviceTime(NodaConstants.UnixEpoch, new BootId(5), 9), report.Written);
    }

    [Fact]
    public void Decode_KitKindOfALaterVersion_SaysWhich()
    {
        byte[] bytes = [0xB2, 0x01, 7, 0x0A, 5, 0xDA, 0x03, 2, 8, 1];

        Report report = ReportCodec.Decode(Key, bytes);

        Assert.Equal("KitDeclared: kit kind 49, which this version does not know", Assert.IsType<UnknownBody>(report.Body).Reason);
    }

    [Fact]
    public void Decode_MoreFieldsOfALaterVersion_ReadsWhatItKnows()
    {
        byte[] note = ReportCodec.Encode(default, default, new Note("a", null, "b"));
        byte[] bytes = [.. note[..^8], 23 << 3 & 0x7F | 2 | 0x80, 1, 0];

        Assert.NotNull(ReportCodec.Decode(Key, bytes).Body);
        V1.Report later = V1.Report.Parser.ParseFrom(note);
        byte[] withUnknown = [.. ReportCodec.Encode(later), 0x28, 1];
        Assert.Equal(new Note("a", null, "b"), ReportCodec.Decode(Key, withUnknown).Body);
    }

    [Theory]
    [InlineData("", "BatteryReading: pack is missing")]
    [InlineData(" padded", "BatteryReading: pack is no kit name")]
    [InlineData("bell\a", "BatteryReading: pack is no kit name")]
    public void Decode_BadName_SaysWhichField(string name, string reason)
    {
        var message = new V1.Report { BatteryReading = new V1.BatteryReading { Pack = name, Volts = 13 } };

        Assert.Equal(new UnknownBody(reason), ReportCodec.FromMessage(Key, message).Body);
    }

    [Fact]
    public void Decode_ShortClipHash_SaysHowManyBytes()
    {
        var message = new V1.Report { CopyMade = new V1.CopyMade { Clip = Google.Protobuf.ByteString.CopyFrom(1, 2, 3), Drive = "drive A" } };

        Assert.Equal(new UnknownBody("CopyMade: clip has 3 bytes instead of 16"), ReportCodec.FromMessage(Key, message).Body);
    }

    [Fact]
    public void Decode_Nothing_SaysThatItSaysNothing() =>
        Assert.Equal(new UnknownBody("it says nothing"), ReportCodec.Decode(Key, []).Body);

    [Fact]
    public void Decode_Oversized_SaysTheLimit()
    {
        Report report = ReportCodec.Decode(Key, new byte[ReportCodec.MaxBytes + 1]);

        Assert.Equal(new UnknownBody("it has 65537 bytes; at most 65536 are read"), report.Body);
    }

    [Fact]
    public void Encode_TooLong_Throws() =>
        Assert.Throws<ArgumentException>(() => ReportCodec.Encode(default, default, new Note("a", null, new string('x', ReportCodec.MaxBytes))));

    [Fact]
    public void Encode_UnknownBody_Throws() =>
        Assert.Throws<ArgumentException>(() => ReportCodec.Encode(default, default, new UnknownBody("of a later version")));

    [Fact]
    public void Decode_NaNOfAForeignClient_IsKept()
    {
        var message = new V1.Report { BatteryReading = new V1.BatteryReading { Pack = "pack 1", Volts = double.NaN, Amperes = double.PositiveInfinity } };

        var reading = Assert.IsType<BatteryReading>(ReportCodec.Decode(Key, ReportCodec.Encode(message)).Body);

        Assert.True(double.IsNaN(reading.Volts!.Value.Value));
        Assert.Equal(new Amperes(double.PositiveInfinity), reading.Amperes);
        Assert.Null(reading.Watts);
    }

    [Fact]
    public void Decode_TemperatureLeftOut_IsNaNAndNotZero()
    {
        var message = new V1.Report { TemperatureReading = new V1.TemperatureReading { Subject = "ridge box" } };

        var reading = Assert.IsType<TemperatureReading>(ReportCodec.FromMessage(Key, message).Body);

        Assert.False(reading.Temperature.IsPhysical);
    }

    [Fact]
    public void Decode_EnumValuesOfALaterVersion_CountAsTheLeastTrusted()
    {
        var proof = new V1.Report
        {
            CopyVerified = new V1.CopyVerified { Clip = Google.Protobuf.ByteString.CopyFrom(new byte[16]), Drive = "drive A", Level = (V1.ReadBackLevel)9 },
        };
        var reading = new V1.Report { PanelReading = new V1.PanelReading { Panel = "panel 1", Source = (V1.ReadingSource)9 } };

        Assert.Equal(ReadBackLevel.Cached, Assert.IsType<CopyVerified>(ReportCodec.FromMessage(Key, proof).Body).Level);
        Assert.Equal(ReadingSource.Estimated, Assert.IsType<PanelReading>(ReportCodec.FromMessage(Key, reading).Body).Source);
    }

    [Fact]
    public void Decode_LoadClassOfALaterVersion_IsNotGuessed()
    {
        var message = new V1.Report
        {
            KitDeclared = new V1.KitDeclared
            {
                Item = new V1.KitItem { Load = new V1.Load { Id = "radio", Team = "ridge", Bank = "ridge bank", LoadClass = (V1.LoadClass)9 } },
            },
        };

        Assert.Equal(new UnknownBody("KitDeclared: load class is not known"), ReportCodec.FromMessage(Key, message).Body);
    }

    [Fact]
    public void KindNumbers_AreFieldNumbersLessTen()
    {
        foreach ((string name, Report sample) in ReportSamples.All)
        {
            V1.Report message = V1.Report.Parser.ParseFrom(ReportCodec.Encode(sample));
            Assert.Equal((int)sample.Body.Kind + 10, (int)message.BodyCase);
            if (sample.Body is KitDeclared declared)
            {
                Assert.Equal((int)declared.Item.Kind + 10, (int)message.KitDeclared.Item.ItemCase);
            }

            Assert.NotEmpty(name);
        }
    }

    [Fact]
    public void Encode_ClocksPastTheWire_AreHeldAtTheEnd()
    {
        var far = new DeviceTime(Instant.MaxValue, new BootId(1), long.MaxValue);

        Report report = ReportCodec.Decode(Key, ReportCodec.Encode(new HybridTime(ulong.MaxValue), far, new Note("a", null, "b")));

        Assert.Equal(2262, report.Written.Wall.InUtc().Year);
        Assert.Equal(long.MaxValue, report.Written.MonotonicNanoseconds);
    }

    [Fact]
    public void KitItem_OfEveryKind_RoundTrips() => Gen.Int.Sample(
        seed =>
        {
            var draw = new ReportDraw(seed);
            foreach (KitKind kind in Enum.GetValues<KitKind>().Where(kind => kind != KitKind.Unknown))
            {
                var declared = new KitDeclared(draw.Item(kind));
                Assert.Equal(declared, ReportCodec.Decode(Key, ReportCodec.Encode(default, default, declared)).Body);
            }
        },
        iter: 300);
}
