using System.Text.RegularExpressions;
using Google.Protobuf;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.Reports;
using KitMesh.TestKit.Reports;
using KitMesh.Tests.Architecture;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Tests.Protocol;

/// <summary>What docs/report-format.md prints is what the code does.</summary>
public sealed partial class ReportFormatPageTests
{
    private static readonly string Page = File.ReadAllText(SourceTree.PathTo("docs", "report-format.md"));

    [Fact]
    public void WorkedExample_Bytes_AreTheGoldenOnes()
    {
        string block = Page[Page.IndexOf("09 0200", StringComparison.Ordinal)..];
        IEnumerable<string> lines = block[..block.IndexOf("```", StringComparison.Ordinal)].Split('\n');
        string hex = string.Concat(lines.Select(line => HexOfLine().Match(line).Value)).Replace(" ", "", StringComparison.Ordinal);

        Assert.Equal(Convert.ToHexStringLower(ReportCodec.Encode(ReportSamples.All["TemperatureReading"])), hex);
    }

    [Fact]
    public void WorkedExample_Hashes_AreWhatTheChainGives()
    {
        byte[] report = ReportCodec.Encode(ReportSamples.All["TemperatureReading"]);
        Sha256Hash seed = ReportChain.Seed(ReportSamples.Key.Origin);

        Assert.Contains($"content hash  {Sha256Hash.Of(report)}", Page, StringComparison.Ordinal);
        Assert.Contains($"chain before  {seed}", Page, StringComparison.Ordinal);
        Assert.Contains($"chain after   {ReportChain.Next(seed, 1, report)}", Page, StringComparison.Ordinal);
    }

    [Fact]
    public void JsonExample_IsARequestWhoseReportCanBeRead()
    {
        string block = Page[(Page.IndexOf("```json", StringComparison.Ordinal) + 7)..];
        V1.PushRequest request = JsonParser.Default.Parse<V1.PushRequest>(block[..block.IndexOf("```", StringComparison.Ordinal)]);

        Report report = ReportCodec.FromMessage(ReportSamples.Key, Assert.Single(request.Reports));

        Assert.IsType<BatteryReading>(report.Body);
        Assert.Equal(report.Written.Wall.ToUnixTimeMilliseconds(), report.Hybrid.Milliseconds);
    }

    [Fact]
    public void Tables_HaveARowForEveryKindAndKitKind()
    {
        foreach (ReportKind kind in Enum.GetValues<ReportKind>().Where(kind => kind != ReportKind.Unknown))
        {
            Assert.Contains($"| {(int)kind} | `{kind}` |", Page, StringComparison.Ordinal);
        }

        foreach (KitKind kind in Enum.GetValues<KitKind>().Where(kind => kind != KitKind.Unknown))
        {
            Assert.Contains($"| {(int)kind} | `{kind}` |", Page, StringComparison.Ordinal);
        }
    }

    [Fact]
    public void Tables_NameEveryFieldOfEveryMessage()
    {
        foreach (Google.Protobuf.Reflection.FieldDescriptor body in V1.Report.Descriptor.Oneofs[0].Fields.Concat(V1.KitItem.Descriptor.Oneofs[0].Fields))
        {
            string row = Page.Split('\n').Single(line => Regex.IsMatch(line, $@"^\| {body.FieldNumber - 10} \| `{body.MessageType.Name}` \|"));
            Assert.All(body.MessageType.Fields.InFieldNumberOrder(), field =>
                Assert.Matches($@"[|·(] {field.FieldNumber} {field.Name}\b", row));
        }
    }

    [GeneratedRegex("^ *[0-9a-f]{2}( [0-9a-f]+)* ?([0-9a-f]+)?(?=  )")]
    private static partial Regex HexOfLine();
}
