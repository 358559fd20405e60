using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.Reports;
using KitMesh.TestKit.Reports;

namespace KitMesh.Tests.Protocol;

/// <summary>Every released version decodes for ever: the files in Golden/v1 are never changed, only added to.</summary>
public sealed class GoldenBytesTests
{
    private static readonly string Folder = Path.Combine(AppContext.BaseDirectory, "Golden", "v1");

    public static TheoryData<string> Samples => [.. ReportSamples.All.Keys.Order(StringComparer.Ordinal)];

    [Theory]
    [MemberData(nameof(Samples))]
    public void Decode_GoldenBytes_GivesTheSample(string name) =>
        Assert.Equal(ReportSamples.All[name], ReportCodec.Decode(ReportSamples.Key, Golden(name)));

    [Theory]
    [MemberData(nameof(Samples))]
    public void Encode_Sample_GivesTheGoldenBytes(string name) =>
        Assert.Equal(Convert.ToHexString(Golden(name)), Convert.ToHexString(ReportCodec.Encode(ReportSamples.All[name])));

    [Fact]
    public void Samples_CoverEveryKindAndEveryKitKind()
    {
        IEnumerable<string> kinds = Enum.GetValues<ReportKind>()
            .Where(kind => kind is not (ReportKind.Unknown or ReportKind.KitDeclared))
            .Select(kind => kind.ToString());
        IEnumerable<string> kit = Enum.GetValues<KitKind>().Where(kind => kind != KitKind.Unknown).Select(kind => $"KitDeclared.{kind}");

        Assert.Equal(kinds.Concat(kit).Order(StringComparer.Ordinal), ReportSamples.All.Keys.Order(StringComparer.Ordinal));
    }

    private static byte[] Golden(string name)
    {
        string file = Path.Combine(Folder, $"{name}.bin");
        if (!File.Exists(file))
        {
            Assert.Fail($"Golden/v1/{name}.bin is missing. Its bytes in hexadecimal are {Convert.ToHexString(ReportCodec.Encode(ReportSamples.All[name]))}");
        }

        return File.ReadAllBytes(file);
    }
}
