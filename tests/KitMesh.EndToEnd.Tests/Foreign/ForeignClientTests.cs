using System.Diagnostics;
using System.Text.Json;
using Google.Protobuf;
using Google.Protobuf.Reflection;
using KitMesh.Protocol.V1;

namespace KitMesh.EndToEnd.Tests.Foreign;

/// <summary>
/// Clients of other makers: Debian's python3-grpcio (the gRPC core library of the gRPC authors, in C++) over HTTP/2, and
/// curl over HTTP/1.1 and JSON. What they send must be durable, and what they read must be what the hub holds.
/// </summary>
public sealed class ForeignClientTests
{
    private const string Python = "/usr/bin/python3";

    [Fact]
    public async Task Python_PushesReportsAndReadsTheOutlook()
    {
        await SkipWithoutAsync(Python, ["-c", "import grpc, google.protobuf"], "Debian's python3-grpcio and python3-protobuf are not installed here.");
        using var folder = new TempFolder();
        await using RunningNode hub = await RunningNode.HubAsync(folder.At("hub"), "--trip", Checkout.PathTo("deploy", "demo", "trip.yaml"));
        string descriptors = folder.At("kitmesh.pb");
        await File.WriteAllBytesAsync(descriptors, DescriptorSet(), TestContext.Current.CancellationToken);

        string output = await RunAsync(
            Python,
            [Checkout.PathTo("tests", "KitMesh.EndToEnd.Tests", "Foreign", "push_and_read.py"), new Uri(hub.Address).Authority, descriptors]);

        JsonElement answer = JsonDocument.Parse(output).RootElement;
        Assert.Equal(3, answer.GetProperty("added").GetInt32());
        Assert.Equal(0, answer.GetProperty("addedAgain").GetInt32());
        Assert.Equal(3, answer.GetProperty("durableTo").GetInt32());
        Assert.Equal([-13.5, -12.5, -11.5], answer.GetProperty("kept").EnumerateArray().Select(celsius => celsius.GetDouble()));
        Assert.Equal("INVALID_ARGUMENT", answer.GetProperty("refused").GetProperty("code").GetString());
        JsonElement banks = answer.GetProperty("outlook").GetProperty("banks");
        Assert.True(banks.GetArrayLength() > 0);
        Assert.All(banks.EnumerateArray(), bank => Assert.NotEqual(0, bank.GetProperty("days").GetArrayLength()));
    }

    [Fact]
    public async Task Curl_PushesAReportAndReadsItBack()
    {
        await SkipWithoutAsync("curl", ["--version"], "curl is not installed here.");
        using var folder = new TempFolder();
        await using RunningNode hub = await RunningNode.HubAsync(folder.At("hub"));
        string body = folder.Write(
            "push.json",
            """
            {"origin":{"node":"curl-writer","epoch":"77"},"firstSequence":"1",
             "reports":[{"wallUnixNanos":"1802628000000000000","boot":"5","monotonicNanos":"1","note":{"author":"the lead","text":"typed by hand"}}]}
            """);

        string pushed = await RunAsync("curl", ["-sS", "--fail-with-body", "-H", "content-type: application/json", "--data-binary", $"@{body}", $"{hub.Address}/v1/push"]);
        string status = await RunAsync("curl", ["-sS", "--fail-with-body", $"{hub.Address}/v1/status"]);
        string refused = await RunAsync("curl", ["-sS", "-o", "-", "-w", "%{http_code}", $"{hub.Address}/v1/reports?kinds=Nonsense"]);

        Assert.Equal(1, JsonDocument.Parse(pushed).RootElement.GetProperty("added").GetInt32());
        Assert.Contains("curl-writer", status, StringComparison.Ordinal);
        Assert.EndsWith("400", refused, StringComparison.Ordinal);
    }

    private static byte[] DescriptorSet()
    {
        var set = new FileDescriptorSet();
        var seen = new HashSet<string>();
        void Add(FileDescriptor file)
        {
            if (seen.Add(file.Name))
            {
                foreach (FileDescriptor needed in file.Dependencies)
                {
                    Add(needed);
                }

                set.File.Add(file.ToProto());
            }
        }

        Add(MeshServiceReflection.Descriptor);
        Add(OutlookServiceReflection.Descriptor);
        return set.ToByteArray();
    }

    private static async Task SkipWithoutAsync(string program, string[] words, string reason)
    {
        try
        {
            using Process probe = Start(program, words);
            await probe.WaitForExitAsync(TestContext.Current.CancellationToken);
            if (probe.ExitCode == 0)
            {
                return;
            }
        }
        catch (System.ComponentModel.Win32Exception)
        {
            // Not there at all.
        }

        Assert.Skip(reason);
    }

    private static async Task<string> RunAsync(string program, string[] words)
    {
        using Process process = Start(program, words);
        Task<string> error = process.StandardError.ReadToEndAsync(TestContext.Current.CancellationToken);
        string output = await process.StandardOutput.ReadToEndAsync(TestContext.Current.CancellationToken);
        await process.WaitForExitAsync(TestContext.Current.CancellationToken);
        Assert.True(process.ExitCode == 0, $"{program} ended with {process.ExitCode}: {await error} {output}");
        return output;
    }

    private static Process Start(string program, string[] words)
    {
        var start = new ProcessStartInfo(program) { RedirectStandardOutput = true, RedirectStandardError = true, UseShellExecute = false };
        foreach (string word in words)
        {
            start.ArgumentList.Add(word);
        }

        return Process.Start(start) ?? throw new InvalidOperationException($"{program} could not be started.");
    }
}
