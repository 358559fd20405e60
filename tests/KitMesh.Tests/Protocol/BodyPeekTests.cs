using CsCheck;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.Reports;
using KitMesh.TestKit.Reports;

namespace KitMesh.Tests.Protocol;

public sealed class BodyPeekTests
{
    [Fact]
    public void KindOf_AnyReport_IsTheKindThatDecodingGives() =>
        Gen.Int.Sample(seed =>
        {
            Report report = new ReportDraw(seed).Report();
            return BodyPeek.KindOf(ReportCodec.Encode(report)) == report.Body.Kind;
        });

    [Fact]
    public void KindOf_BrokenBytes_NeverHidesAReportThatCanBeRead() =>
        Gen.Select(Gen.Int, Gen.Int[0, 200], Gen.Byte).Sample((seed, at, other) =>
        {
            byte[] bytes = ReportCodec.Encode(new ReportDraw(seed).Report());
            bytes[at % bytes.Length] = other;
            ReportKind decoded = ReportCodec.Decode(new ReportKey(new OriginId(NodeId.Parse("power-1"), 1), 1), bytes).Body.Kind;
            return decoded == ReportKind.Unknown || BodyPeek.KindOf(bytes) is not { } kind || kind == decoded;
        });

    [Fact]
    public void KindOf_Nothing_IsUnknown() => Assert.Equal(ReportKind.Unknown, BodyPeek.KindOf([]));
}
