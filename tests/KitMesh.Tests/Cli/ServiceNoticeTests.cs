using System.Net.Sockets;
using System.Text;
using KitMesh.Cli.Running;
using Microsoft.Extensions.Time.Testing;

namespace KitMesh.Tests.Cli;

/// <summary>What a service manager hears, by the protocol of sd_notify(3).</summary>
public sealed class ServiceNoticeTests : IDisposable
{
    private readonly DirectoryInfo _root = Directory.CreateTempSubdirectory("kitmesh-notice-");
    private readonly Socket _manager = new(AddressFamily.Unix, SocketType.Dgram, ProtocolType.Unspecified);
    private readonly FakeTimeProvider _machine = new();
    private readonly Dictionary<string, string> _variables = [];

    public ServiceNoticeTests()
    {
        _variables["NOTIFY_SOCKET"] = Path.Combine(_root.FullName, "notify");
        _manager.Bind(new UnixDomainSocketEndPoint(_variables["NOTIFY_SOCKET"]));
    }

    public void Dispose()
    {
        _manager.Dispose();
        _root.Delete(recursive: true);
    }

    [Fact]
    public async Task Service_ReadyWatchedAndStopped_SaysEach()
    {
        _variables["WATCHDOG_USEC"] = "30000000";
        _variables["WATCHDOG_PID"] = "77";
        ServiceNotice notice = Make(process: 77);

        notice.Ready(_ => Task.FromResult(true));
        Assert.Equal("READY=1", await HearAsync());
        Assert.Equal("WATCHDOG=1", await HearAsync());
        _machine.Advance(TimeSpan.FromSeconds(10));
        Assert.Equal("WATCHDOG=1", await HearAsync());
        await notice.DisposeAsync();
        Assert.Equal("STOPPING=1", await HearAsync());
    }

    [Theory]
    [InlineData("78", "30000000")]
    [InlineData("77", "")]
    [InlineData("77", "0")]
    [InlineData("77", "soon")]
    public async Task Service_NotWatched_GivesNoSigns(string watched, string period)
    {
        _variables["WATCHDOG_USEC"] = period;
        _variables["WATCHDOG_PID"] = watched;
        ServiceNotice notice = Make(process: 77);

        notice.Ready(_ => throw new InvalidOperationException("Nobody asks."));
        await notice.DisposeAsync();

        Assert.Equal("READY=1", await HearAsync());
        Assert.Equal("STOPPING=1", await HearAsync());
    }

    [Fact]
    public async Task Service_ThatDoesNotWork_GivesNoSign()
    {
        _variables["WATCHDOG_USEC"] = "30000000";
        ServiceNotice notice = Make(process: 77);

        notice.Ready(_ => Task.FromResult(false));
        await notice.DisposeAsync();

        Assert.Equal("READY=1", await HearAsync());
        Assert.Equal("STOPPING=1", await HearAsync());
    }

    [Fact]
    public async Task Service_WhoseManagerIsGone_GoesOn()
    {
        _manager.Dispose();
        ServiceNotice notice = Make(process: 77);

        notice.Ready(_ => Task.FromResult(true));
        await notice.DisposeAsync();
    }

    private ServiceNotice Make(int process) => ServiceNotice.From(_variables.GetValueOrDefault, process, _machine);

    private async Task<string> HearAsync()
    {
        byte[] buffer = new byte[256];
        int length = await _manager.ReceiveAsync(buffer, TestContext.Current.CancellationToken).AsTask().WaitAsync(TimeSpan.FromMinutes(1), TestContext.Current.CancellationToken);
        return Encoding.UTF8.GetString(buffer, 0, length);
    }
}
