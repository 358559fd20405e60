using System.Diagnostics;
using System.Text.Json;

namespace KitMesh.EndToEnd.Tests.Enrolment;

/// <summary>Joining as a user does it: a hub, devices and keepers in processes of their own, curl and openssl as foreign clients.</summary>
public sealed class JoiningTests
{
    private const string OpenSsl = "/usr/bin/openssl";
    private const string Python = "/usr/bin/python3";

    [Fact]
    public async Task Device_JoinsDialsRenewsAndIsRevoked()
    {
        using var folder = new TempFolder();
        await using RunningNode hub = await HubAsync(folder);
        JsonElement code = await CodeAsync(folder, "ridge-phone", "writer", "reader");
        string identity = folder.At("identity");

        Executable.Finished wrongPin = await EnrolAsync(Typed(code), "--hub", hub.Address, "--identity", identity, "--pin", new string('A', 43));
        Executable.Finished joined = await EnrolAsync(Typed(code), "--hub", hub.Address, "--identity", identity, "--pin", code.GetProperty("pin").GetString()!, "--json");
        Executable.Finished twice = await EnrolAsync(Typed(code), "--hub", hub.Address, "--identity", folder.At("thief"));

        Assert.Equal(2, wrongPin.Code);
        Assert.Contains("another key", wrongPin.Error, StringComparison.Ordinal);
        Assert.True(joined.Code == 0, joined.Error);
        Assert.Equal("ridge-phone", JsonDocument.Parse(joined.Output).RootElement.GetProperty("node").GetString());
        Assert.Equal(2, twice.Code);
        Assert.Contains("not valid", twice.Error, StringComparison.Ordinal);
        Assert.False(Directory.Exists(folder.At("thief")));

        string file = folder.Write("agent.yaml", $"node: ridge-phone\ndata: d\nidentity: identity\nhubs: ['{hub.Address}']\nsendWait: 0 s\nreaders:\n  - {{ name: t, kind: typed, folder: inbox, interval: 1 s }}\n");
        await using (RunningNode agent = await RunningNode.StartAsync("agent", "--json", "--config", file))
        {
            Directory.CreateDirectory(folder.At("inbox"));
            File.WriteAllText(folder.At("inbox", "today.jsonl"), """{"report":"battery","subject":"main bank","volts":13.21,"rested":true}""" + "\n");
            await UntilListedAsync(folder, hub.Address, identity);
        }

        Executable.Finished renewed = await Executable.RunAsync("enrol", "renew", "--hub", hub.Address, "--identity", identity, "--json");
        Executable.Finished revoked = await Executable.RunAsync("enrol", "revoke", "ridge-phone", "--reason", "lost on the glacier", "--data", folder.At("hub"), "--json");
        Executable.Finished asked = await Executable.RunAsync("ledger", "--hub", hub.Address, "--identity", identity);
        Executable.Finished list = await Executable.RunAsync("enrol", "list", "--data", folder.At("hub"), "--json");

        Assert.True(renewed.Code == 0, renewed.Error);
        Assert.True(revoked.Code == 0, revoked.Error);
        Assert.True(JsonDocument.Parse(revoked.Output).RootElement.GetProperty("origins")[0].GetProperty("lastValid").GetUInt64() > 0);
        Assert.Equal(2, asked.Code);
        Assert.Contains("was ended", asked.Error, StringComparison.Ordinal);
        Assert.Contains("lost on the glacier", list.Output, StringComparison.Ordinal);
        Assert.DoesNotContain(code.GetProperty("code").GetString()!, hub.Said, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Keeper_WithACertificate_LetsOthersInByTheTextOfThePicture()
    {
        using var folder = new TempFolder();
        await using RunningNode hub = await HubAsync(folder);
        JsonElement lead = await CodeAsync(folder, "lead-laptop", "keeper");
        Executable.Finished joined = await EnrolAsync(lead.GetProperty("invite").GetString()!, "--identity", folder.At("lead"));
        Assert.True(joined.Code == 0, joined.Error);

        Executable.Finished made = await Executable.RunAsync("enrol", "code", "--hub", hub.Address, "--identity", folder.At("lead"), "--node", "hide-recorder", "--address", hub.Address);
        string typed = made.Output.Split('\n').Single(line => line.StartsWith("code ", StringComparison.Ordinal))[5..].Trim();
        Executable.Finished recorder = await EnrolAsync(typed.ToLowerInvariant(), "--hub", hub.Address, "--identity", folder.At("recorder"));
        Executable.Finished notAllowed = await Executable.RunAsync("enrol", "code", "--hub", hub.Address, "--identity", folder.At("recorder"), "--node", "friend");
        Executable.Finished mistyped = await EnrolAsync("0" + typed[1..17] + "-!", "--hub", hub.Address, "--identity", folder.At("other"));

        Assert.True(made.Code == 0, made.Error);
        Assert.Contains("█", made.Output, StringComparison.Ordinal);
        Assert.True(recorder.Code == 0, recorder.Error);
        Assert.Equal(2, notAllowed.Code);
        Assert.Contains("role keeper", notAllowed.Error, StringComparison.Ordinal);
        Assert.Equal(2, mistyped.Code);
        Assert.Contains("No attempt was spent", mistyped.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Curl_WithAndWithoutCertificate_VerifiesTheHubAndIsAskedToJoin()
    {
        Assert.SkipUnless(File.Exists("/usr/bin/curl"), "curl is not installed here.");
        using var folder = new TempFolder();
        await using RunningNode hub = await HubAsync(folder);
        string identity = await JoinAsync(folder, hub, "lead-laptop", "reader");
        string root = Path.Combine(identity, "root.crt");

        (int code, string member) = await RunAsync("/usr/bin/curl", "-sS", "--tlsv1.3", "--cacert", root, "--cert", Path.Combine(identity, "node.crt"), "--key", Path.Combine(identity, "node.key"), $"{hub.Address}/v1/status");
        (_, string stranger) = await RunAsync("/usr/bin/curl", "-sS", "-w", " %{http_code}", "--cacert", root, $"{hub.Address}/v1/status");
        (int untrusting, _) = await RunAsync("/usr/bin/curl", "-sS", $"{hub.Address}/v1/status");
        (int old, _) = await RunAsync("/usr/bin/curl", "-sS", "--tls-max", "1.2", "--cacert", root, $"{hub.Address}/v1/status");

        Assert.True(code == 0, member);
        Assert.Contains("stateFingerprint", member, StringComparison.Ordinal);
        Assert.Equal("Join first. 401", stranger);
        Assert.NotEqual(0, untrusting);
        Assert.NotEqual(0, old);
    }

    [Fact]
    public async Task Python_WithAndWithoutCertificate_IsJudgedByItsRole()
    {
        // Debian's python3-grpcio: the gRPC authors' core library in C++, with a TLS stack of its own.
        Assert.SkipUnless(File.Exists(Python) && (await RunAsync(Python, "-c", "import grpc")).Code == 0, "Debian's python3-grpcio is not installed here.");
        using var folder = new TempFolder();
        await using RunningNode hub = await HubAsync(folder);
        string identity = await JoinAsync(folder, hub, "lead-laptop", "reader");

        (int code, string said) = await RunAsync(Python, Checkout.PathTo("tests", "KitMesh.EndToEnd.Tests", "Enrolment", "ask_with_certificate.py"), new Uri(hub.Address).Authority, identity);

        Assert.True(code == 0, said);
        string[] lines = said.Trim().Split('\n');
        Assert.Equal("OK True", lines[0]);
        Assert.StartsWith("PERMISSION_DENIED This needs the role keeper", lines[1], StringComparison.Ordinal);
        Assert.Equal("UNAUTHENTICATED Join first.", lines[2]);
    }

    [Fact]
    public async Task OpenSslClient_OfAFurtherHub_SeesAChainToTheTripRoot()
    {
        Assert.SkipUnless(File.Exists(OpenSsl), "The openssl command is not installed here.");
        using var folder = new TempFolder();
        await using RunningNode first = await HubAsync(folder);
        JsonElement code = await CodeAsync(folder, "ridge-hub", "hub");
        Executable.Finished joined = await EnrolAsync(Typed(code), "--hub", first.Address, "--data", folder.At("ridge"));
        Assert.True(joined.Code == 0, joined.Error);
        await using RunningNode second = await RunningNode.StartAsync("hub", "--json", "--node", "ridge-hub", "--data", folder.At("ridge"), "--listen", "https://127.0.0.1:0");
        string root = folder.At("hub", "identity", "root.crt");
        string authority = new Uri(second.Address).Authority;

        (int good, string said) = await RunAsync(OpenSsl, "s_client", "-connect", authority, "-tls1_3", "-CAfile", root, "-verify_return_error", "-verify_ip", "127.0.0.1");
        (int old, _) = await RunAsync(OpenSsl, "s_client", "-connect", authority, "-tls1_2", "-CAfile", root);
        (int other, _) = await RunAsync(OpenSsl, "s_client", "-connect", authority, "-tls1_3", "-CAfile", root, "-verify_return_error", "-verify_hostname", "bank.example.com");

        Assert.True(good == 0, said);
        Assert.Contains("Verify return code: 0 (ok)", said, StringComparison.Ordinal);
        Assert.Contains("CN = ridge-hub", said, StringComparison.Ordinal);
        Assert.NotEqual(0, old);
        Assert.NotEqual(0, other);
    }

    [Fact]
    public async Task Spare_WrittenAndRestored_ByThePassphraseOnly()
    {
        using var folder = new TempFolder();
        await using (RunningNode hub = await HubAsync(folder))
        {
            Assert.Contains("spare copy", hub.Said, StringComparison.Ordinal);
        }

        string right = folder.Write("right", "five words from a book\n");
        string wrong = folder.Write("wrong", "six words from a book\n");
        string weak = folder.Write("weak", "short\n");
        Executable.Finished tooShort = await Executable.RunAsync("enrol", "spare", "--data", folder.At("hub"), "--to", folder.At("spare.pem"), "--passphrase-file", weak);
        Executable.Finished written = await Executable.RunAsync("enrol", "spare", "--data", folder.At("hub"), "--to", folder.At("spare.pem"), "--passphrase-file", right);
        Executable.Finished refused = await Executable.RunAsync("enrol", "restore", "--from", folder.At("spare.pem"), "--data", folder.At("new"), "--passphrase-file", wrong);
        Executable.Finished restored = await Executable.RunAsync("enrol", "restore", "--from", folder.At("spare.pem"), "--data", folder.At("new"), "--passphrase-file", right);

        Assert.Equal(2, tooShort.Code);
        Assert.True(written.Code == 0, written.Error);
        Assert.Equal(2, refused.Code);
        Assert.True(restored.Code == 0, restored.Error);
        Assert.Equal(File.ReadAllText(folder.At("hub", "identity", "root.crt")), File.ReadAllText(folder.At("new", "identity", "root.crt")));
        Assert.DoesNotContain("five words", File.ReadAllText(folder.At("spare.pem")), StringComparison.Ordinal);
    }

    private static Task<RunningNode> HubAsync(TempFolder folder) =>
        RunningNode.StartAsync("hub", "--json", "--node", "base-camp", "--data", folder.At("hub"), "--listen", "https://127.0.0.1:0");

    private static string Typed(JsonElement code) => code.GetProperty("code").GetString()!;

    private static async Task<JsonElement> CodeAsync(TempFolder folder, string node, params string[] roles)
    {
        Executable.Finished made = await Executable.RunAsync(["enrol", "code", "--json", "--data", folder.At("hub"), "--node", node, .. roles.SelectMany(role => (string[])["--role", role])]);
        Assert.True(made.Code == 0, made.Error);
        return JsonDocument.Parse(made.Output).RootElement;
    }

    private static async Task<string> JoinAsync(TempFolder folder, RunningNode hub, string node, params string[] roles)
    {
        string identity = folder.At(node);
        Executable.Finished joined = await EnrolAsync(Typed(await CodeAsync(folder, node, roles)), "--hub", hub.Address, "--identity", identity);
        Assert.True(joined.Code == 0, joined.Error);
        return identity;
    }

    private static async Task<Executable.Finished> EnrolAsync(string secret, params string[] words)
    {
        using Process process = Executable.Start(["enrol", .. words]);
        await process.StandardInput.WriteLineAsync(secret);
        process.StandardInput.Close();
        Task<string> output = process.StandardOutput.ReadToEndAsync(TestContext.Current.CancellationToken);
        string error = await process.StandardError.ReadToEndAsync(TestContext.Current.CancellationToken);
        await process.WaitForExitAsync(TestContext.Current.CancellationToken);
        return new Executable.Finished(process.ExitCode, await output, error);
    }

    private static async Task UntilListedAsync(TempFolder folder, string address, string identity)
    {
        Assert.SkipUnless(File.Exists("/usr/bin/curl"), "curl is not installed here.");
        using var timer = new PeriodicTimer(TimeSpan.FromMilliseconds(300));
        string seen = "";
        for (int i = 0; i < 300; i++)
        {
            (_, seen) = await RunAsync(
                "/usr/bin/curl", "-sS", "--cacert", Path.Combine(identity, "root.crt"), "--cert", Path.Combine(identity, "node.crt"), "--key", Path.Combine(identity, "node.key"), $"{address}/v1/reports?kinds=BatteryReading");
            if (seen.Contains("13.21", StringComparison.Ordinal))
            {
                return;
            }

            await timer.WaitForNextTickAsync(TestContext.Current.CancellationToken);
        }

        Assert.Fail($"It did not arrive in {folder.At()}: {seen}");
    }

    private static async Task<(int Code, string Words)> RunAsync(string program, params string[] words)
    {
        var start = new ProcessStartInfo(program) { RedirectStandardOutput = true, RedirectStandardError = true, RedirectStandardInput = true };
        foreach (string word in words)
        {
            start.ArgumentList.Add(word);
        }

        using Process process = Process.Start(start)!;
        process.StandardInput.Close();
        Task<string> error = process.StandardError.ReadToEndAsync(TestContext.Current.CancellationToken);
        string output = await process.StandardOutput.ReadToEndAsync(TestContext.Current.CancellationToken);
        await process.WaitForExitAsync(TestContext.Current.CancellationToken);
        return (process.ExitCode, output + await error);
    }
}
