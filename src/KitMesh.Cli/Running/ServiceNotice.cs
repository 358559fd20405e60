using System.Globalization;
using System.Net.Sockets;
using System.Text;

namespace KitMesh.Cli.Running;

// Problem: a service that hangs looks alive to whoever started it, and nobody is at the hub at three in the morning.
// Method: the protocol of sd_notify(3): datagrams to the socket in NOTIFY_SOCKET say that the service is ready, that it stops,
// and, as often as WATCHDOG_USEC asks, that it still works. What stays away is ended and started again by the service manager.
// Trap: a timer that ticks proves only that a timer ticks. What is asked before each sign of life is the work itself.

/// <summary>Tells the service manager how a hub or an agent is. Says nothing where no manager listens.</summary>
internal sealed class ServiceNotice : IAsyncDisposable
{
    /// <summary>Signs of life in one period of the watchdog.</summary>
    private const int SignsAPeriod = 3;

    private readonly string? _socket;
    private readonly TimeSpan? _every;
    private readonly TimeProvider _machine;
    private readonly CancellationTokenSource _stop = new();
    private Task _signs = Task.CompletedTask;

    private ServiceNotice(string? socket, TimeSpan? every, TimeProvider machine)
    {
        _socket = socket;
        _every = every;
        _machine = machine;
    }

    /// <summary>A notice to whoever started this process.</summary>
    public static ServiceNotice FromEnvironment(TimeProvider machine) => From(Environment.GetEnvironmentVariable, Environment.ProcessId, machine);

    /// <summary>The same from any set of variables.</summary>
    internal static ServiceNotice From(Func<string, string?> variable, int process, TimeProvider machine)
    {
        bool isOurs = variable("WATCHDOG_PID") is not { Length: > 0 } owner || owner == process.ToString(CultureInfo.InvariantCulture);
        bool isWatched = long.TryParse(variable("WATCHDOG_USEC"), NumberStyles.None, CultureInfo.InvariantCulture, out long microseconds) && microseconds > 0;
        return new ServiceNotice(
            variable("NOTIFY_SOCKET") is { Length: > 1 } socket ? socket : null,
            isOurs && isWatched ? TimeSpan.FromMicroseconds(microseconds) / SignsAPeriod : null,
            machine);
    }

    /// <summary>Says that the service is ready, and from now on that it works.</summary>
    /// <param name="works">Whether it works. An answer that stays away is no sign of life.</param>
    public void Ready(Func<CancellationToken, Task<bool>> works)
    {
        Say("READY=1");
        if (_socket is not null && _every is { } every)
        {
            _signs = Task.Run(() => SignAsync(every, works));
        }
    }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        Say("STOPPING=1");
        await _stop.CancelAsync();
        await _signs;
        _stop.Dispose();
    }

    private async Task SignAsync(TimeSpan every, Func<CancellationToken, Task<bool>> works)
    {
        using var timer = new PeriodicTimer(every, _machine);
        try
        {
            do
            {
                if (await works(_stop.Token))
                {
                    Say("WATCHDOG=1");
                }
            }
            while (await timer.WaitForNextTickAsync(_stop.Token));
        }
        catch (OperationCanceledException)
        {
            // The service stops, and said so.
        }
    }

    private void Say(string words)
    {
        if (_socket is null)
        {
            return;
        }

        try
        {
            // A leading @ stands for the abstract name space, whose names begin with a zero byte.
            string name = _socket[0] == '@' ? $"\0{_socket[1..]}" : _socket;
            using var socket = new Socket(AddressFamily.Unix, SocketType.Dgram, ProtocolType.Unspecified);
            socket.SendTo(Encoding.UTF8.GetBytes(words), new UnixDomainSocketEndPoint(name));
        }
        catch (SocketException)
        {
            // Whoever listened is gone. The service goes on.
        }
    }
}
