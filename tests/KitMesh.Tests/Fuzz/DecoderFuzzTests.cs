using System.Text;
using Google.Protobuf;
using KitMesh.Devices.OneWire;
using KitMesh.Devices.RegisterMap;
using KitMesh.Domain.Digest;
using KitMesh.Domain.Exchange;
using KitMesh.Footage.Manifests;
using KitMesh.Protocol.Exchange;
using KitMesh.Protocol.Reports;
using KitMesh.Tests.Architecture;
using KitMesh.Tests.Protocol;
using KitMesh.TestKit.Reports;
using KitMesh.TripFile;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Tests.Fuzz;

/// <summary>Whatever bytes come, a decoder answers with a result of its own and never with an exception that nobody expects.</summary>
public sealed class DecoderFuzzTests
{
    [Fact]
    public void Report_Damaged_IsDecoded() =>
        Fuzz(Golden(), 20, bytes => Assert.NotNull(ReportCodec.Decode(ReportSamples.Key, bytes)));

    [Fact]
    public void Frame_Damaged_IsAFrameOrNoMessage() =>
        Fuzz([.. FrameCodecTests.Frames.Select(row => FrameCodec.Write(row.Data).ToByteArray())], 20, bytes =>
        {
            V1.Frame frame;
            try
            {
                frame = V1.Frame.Parser.ParseFrom(bytes);
            }
            catch (InvalidProtocolBufferException)
            {
                // The transport parses before the codec and ends the session by itself.
                return;
            }

            Assert.NotNull(FrameCodec.Read(frame));
        });

    [Fact]
    public void TripFile_Damaged_IsReadOrRefused() =>
        Fuzz([File.ReadAllBytes(SourceTree.PathTo("deploy", "trip.example.yaml"))], 1, bytes => Assert.NotNull(TripFileReader.Read("trip.yaml", Encoding.UTF8.GetString(bytes))));

    [Fact]
    public void RegisterMap_Damaged_IsReadOrNamesProblems() =>
        Fuzz([File.ReadAllBytes(SourceTree.PathTo("deploy", "register-maps", "example-controller.yaml"))], 1, bytes =>
        {
            List<KitMesh.Devices.Options.OptionProblem> problems = [];
            RegisterMapFile? map = RegisterMapFile.Parse("map.yaml", Encoding.UTF8.GetString(bytes), problems);
            Assert.True(map is not null || problems.Count > 0);
        });

    [Fact]
    public void Manifest_Damaged_IsReadOrSaysWhatIsWrong() =>
        Fuzz([Corpus("manifest.mhl")], 10, bytes => Assert.True(MhlXml.Read(bytes, out string wrong) is not null || wrong.Length > 0));

    [Fact]
    public void OneWire_Damaged_IsMeasuredOrRefused() =>
        Fuzz([Corpus("w1_slave")], 20, bytes => Assert.NotNull(OneWireAnswer.Parse(Encoding.UTF8.GetString(bytes))));

    [Fact]
    public void DigestLine_AnySymbolsWithAGoodCheck_IsReadOrRefused() =>
        Fuzz(Golden(), 20, bytes =>
        {
            byte[] data = [DigestLayout.Version, .. bytes.Take(300).Select(one => (byte)(one & 31))];
            string line = string.Concat(data.Concat(LineCheck.Of(data)).Select(symbol => LineAlphabet.Symbol(symbol)));
            Assert.NotNull(DigestLine.Read(line));
        });

    private static byte[][] Golden() =>
        [.. Directory.GetFiles(Path.Combine(AppContext.BaseDirectory, "Golden", "v1"), "*.bin").Order(StringComparer.Ordinal).Select(File.ReadAllBytes)];

    private static byte[] Corpus(string name) => File.ReadAllBytes(SourceTree.PathTo("tests", "KitMesh.Tests", "Fuzz", "Corpus", name));

    private static void Fuzz(byte[][] corpus, int times, Action<byte[]> decode) => Fuzzing.Run(times, corpus, decode);
}
