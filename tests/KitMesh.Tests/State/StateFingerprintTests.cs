using CsCheck;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.State;
using KitMesh.Protocol.Reports;
using KitMesh.TestKit.Reports;

namespace KitMesh.Tests.State;

public sealed class StateFingerprintTests
{
    [Fact]
    public void Of_TheSamples_IsPinned()
    {
        // Change this value only together with TripState.FoldVersion: hubs of one version must agree for ever.
        // Over the kinds that stood when it was pinned: a later kind adds a sample, not a new encoding of these.
        ulong sequence = 0;
        IEnumerable<ContentReport> reports = ReportSamples.All
            .Where(sample => sample.Value.Body.Kind <= ReportKind.NodeRevoked && sample.Value.Body is not KitDeclared { Item.Kind: > KitKind.SharedDanger })
            .OrderBy(sample => sample.Key, StringComparer.Ordinal)
            .Select(sample => sample.Value with { Key = new ReportKey(ReportSamples.Key.Origin, ++sequence) })
            .Select(report => new ContentReport(report, Sha256Hash.Of(ReportCodec.Encode(report))));

        Assert.Equal(6u, TripState.FoldVersion);
        string fingerprint = StateFingerprint.Of(TripState.Fold(reports)).ToString();
        Assert.True(fingerprint == "daf3688fc21ac31e16adc59557527f1f6cabe1496f376aa3355756341d9bfe56", $"the samples' fingerprint is {fingerprint}");
    }

    [Fact]
    public void CanonicalKit_EqualItemsOnly_EncodeEqually() => Gen.Select(Gen.Int, Gen.Int).Sample(
        (one, other) =>
        {
            foreach (KitKind kind in Enum.GetValues<KitKind>().Where(kind => kind != KitKind.Unknown))
            {
                KitItem a = new ReportDraw(one).Item(kind);
                KitItem b = new ReportDraw(other).Item(kind);
                Assert.Equal(a.Equals(b), Encode(a).AsSpan().SequenceEqual(Encode(b)));
                Assert.Equal(Encode(a), Encode(new ReportDraw(one).Item(kind)));
            }
        },
        iter: 1_000);

    [Fact]
    public void CanonicalBody_EqualFactsOnly_EncodeEqually() => Gen.Select(Gen.Int, Gen.Int).Sample(
        (one, other) =>
        {
            foreach (ReportKind kind in KeptWhole)
            {
                ReportBody a = new ReportDraw(one).Body(kind);
                ReportBody b = new ReportDraw(other).Body(kind);
                Assert.Equal(a.Equals(b), Encode(a).AsSpan().SequenceEqual(Encode(b)));
            }
        },
        iter: 1_000);

    [Fact]
    public void Number_EveryNaNAndMinusZero_HaveOneForm()
    {
        var writer = new CanonicalWriter();
        writer.Number(double.NaN);
        writer.Number(BitConverter.Int64BitsToDouble(unchecked((long)0xFFF8_0000_0000_0001)));
        writer.Number(-0.0);
        writer.Number(1);

        Assert.Equal("7FF8000000000000" + "7FF8000000000000" + "0000000000000000" + "3FF0000000000000", Convert.ToHexString(writer.Written));
    }

    private static ReportKind[] KeptWhole { get; } =
    [
        ReportKind.BatteryReading, ReportKind.TemperatureReading, ReportKind.PanelReading, ReportKind.LoadReading, ReportKind.CardSeen,
        ReportKind.DriveState, ReportKind.KitDeclared, ReportKind.Note, ReportKind.AgentState, ReportKind.ReaderFault, ReportKind.AlertChanged,
    ];

    private static byte[] Encode(KitItem item)
    {
        var writer = new CanonicalWriter();
        CanonicalKit.Write(writer, item);
        return writer.Written.ToArray();
    }

    private static byte[] Encode(ReportBody body)
    {
        var writer = new CanonicalWriter();
        CanonicalBody.Write(writer, body);
        return writer.Written.ToArray();
    }
}
