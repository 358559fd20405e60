using System.Diagnostics;
using System.Net.Sockets;
using System.Text;

namespace KitMesh.EndToEnd.Tests;

/// <summary>A hub and an agent as a service manager starts them, and the units that are shipped for it.</summary>
public sealed class ServiceTests : IDisposable
{
    private const string Analyze = "/usr/bin/systemd-analyze";

    private readonly TempFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    [Theory]
    [InlineData("hub")]
    [InlineData("agent")]
    public async Task Service_TellsThatItIsReadyAndWorks(string verb)
    {
        using var manager = new Socket(AddressFamily.Unix, SocketType.Dgram, ProtocolType.Unspecified);
        manager.Bind(new UnixDomainSocketEndPoint(_folder.At("notify")));
        string agent = _folder.Write("agent.yaml", "node: phone\ndata: d\nreaders:\n  - { name: t, kind: typed, folder: inbox }\n");
        string[] words = verb == "hub" ? ["hub", "--data", _folder.At("hub"), "--listen", "http://127.0.0.1:0"] : ["agent", "--config", agent];

        using Process process = Executable.Start(new Dictionary<string, string> { ["NOTIFY_SOCKET"] = _folder.At("notify"), ["WATCHDOG_USEC"] = "300000" }, [.. words, "--stop-with-stdin"]);
        Task<string> error = process.StandardError.ReadToEndAsync(TestContext.Current.CancellationToken);
        Assert.Equal("READY=1", await HearAsync(manager));
        Assert.Equal("WATCHDOG=1", await HearAsync(manager));
        Assert.Equal("WATCHDOG=1", await HearAsync(manager));
        process.StandardInput.Close();
        string last = await HearAsync(manager);
        while (last == "WATCHDOG=1")
        {
            last = await HearAsync(manager);
        }

        Assert.Equal("STOPPING=1", last);
        await process.WaitForExitAsync(TestContext.Current.CancellationToken);
        Assert.Contains("stopped", await error, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("kitmesh-hub.service")]
    [InlineData("kitmesh-agent@.service")]
    public async Task Unit_ByTheManagersOwnJudgement_IsSoundAndLocked(string unit)
    {
        Assert.SkipUnless(File.Exists(Analyze), $"There is no {Analyze}: install Debian's package systemd to see the units tested.");
        string text = Checkout.Read("deploy", unit);

        // The executable and the user are made when KitMesh is installed; here any will do.
        string here = text.Replace("/opt/kitmesh/kitmesh", "/bin/true", StringComparison.Ordinal).Replace("User=kitmesh", "User=daemon", StringComparison.Ordinal);
        (int code, string said) = await AnalyzeAsync("verify", "--man=no", _folder.Write(unit, here));
        (int locked, string judged) = await AnalyzeAsync("security", "--offline=yes", "--threshold=30", _folder.At(unit));

        Assert.True(code == 0 && !said.Contains(unit.Split('.')[0], StringComparison.Ordinal), said);
        Assert.True(locked == 0, judged);
    }

    private static async Task<(int Code, string Said)> AnalyzeAsync(params string[] words)
    {
        using Process process = Process.Start(new ProcessStartInfo(Analyze, words) { RedirectStandardOutput = true, RedirectStandardError = true })!;
        Task<string> error = process.StandardError.ReadToEndAsync(TestContext.Current.CancellationToken);
        string output = await process.StandardOutput.ReadToEndAsync(TestContext.Current.CancellationToken);
        await process.WaitForExitAsync(TestContext.Current.CancellationToken);
        return (process.ExitCode, output + await error);
    }

    private static async Task<string> HearAsync(Socket manager)
    {
        byte[] buffer = new byte[256];
        int length = await manager.ReceiveAsync(buffer, TestContext.Current.CancellationToken).AsTask().WaitAsync(TimeSpan.FromMinutes(2), TestContext.Current.CancellationToken);
        return Encoding.UTF8.GetString(buffer, 0, length);
    }
}
