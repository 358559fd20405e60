using Grpc.Core;
using Grpc.Net.Client;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Protocol.Reports;
using KitMesh.Protocol.V1;
using NodaTime;
using OriginId = KitMesh.Domain.Reports.OriginId;
using TemperatureReading = KitMesh.Domain.Reports.TemperatureReading;

namespace KitMesh.EndToEnd.Tests.Faults;

/// <summary>A writer that pushes without pause and remembers exactly what a hub acknowledged.</summary>
internal sealed class Pusher : IAsyncDisposable
{
    private const int Batch = 25;

    // It goes on past what a test waits for, so that a death always meets pushes on their way, and then rests.
    private const int Ahead = 500;
    private static readonly Instant Start = Instant.FromUtc(2027, 2, 10, 0, 0);

    private readonly CancellationTokenSource _stop = new();
    private readonly Uri _hub;
    private readonly Func<Task> _whenHubIsUp;
    private readonly Task _run;
    private TaskCompletionSource _moved = new(TaskCreationOptions.RunContinuationsAsynchronously);
    private TaskCompletionSource _asked = new(TaskCreationOptions.RunContinuationsAsynchronously);
    private long _acknowledged;
    private long _wanted;

    /// <param name="hub">Its address.</param>
    /// <param name="whenHubIsUp">Completes when there is somebody to talk to: a pusher that calls a dead hub without pause keeps it from starting.</param>
    public Pusher(Uri hub, Func<Task> whenHubIsUp)
    {
        _hub = hub;
        _whenHubIsUp = whenHubIsUp;
        _run = Task.Run(RunAsync);
    }

    public static OriginId Origin { get; } = new(NodeId.Parse("pusher"), 0xC0FFEE);

    /// <summary>The last sequence that a hub said is durable.</summary>
    public ulong Acknowledged => (ulong)Interlocked.Read(ref _acknowledged);

    /// <summary>Waits until so many more reports were acknowledged.</summary>
    public async Task MoreAsync(int reports)
    {
        ulong target = Acknowledged + (ulong)reports;
        Interlocked.Exchange(ref _wanted, (long)target);
        Interlocked.Exchange(ref _asked, new(TaskCreationOptions.RunContinuationsAsynchronously)).TrySetResult();
        while (Acknowledged < target)
        {
            Task moved = Volatile.Read(ref _moved).Task;
            if (Acknowledged < target)
            {
                await moved.WaitAsync(TimeSpan.FromSeconds(180), TestContext.Current.CancellationToken);
            }
        }
    }

    public async ValueTask DisposeAsync()
    {
        await _stop.CancelAsync();
        await _run.ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
        _stop.Dispose();
    }

    private async Task RunAsync()
    {
        using GrpcChannel channel = GrpcChannel.ForAddress(_hub);
        var client = new MeshService.MeshServiceClient(channel);
        while (!_stop.IsCancellationRequested)
        {
            Task asked = Volatile.Read(ref _asked).Task;
            if (Interlocked.Read(ref _acknowledged) >= Interlocked.Read(ref _wanted) + Ahead)
            {
                await asked.WaitAsync(_stop.Token);
            }

            ulong first = Acknowledged + 1;
            var request = new PushRequest { Origin = new Origin { Node = Origin.Node.Value, Epoch = Origin.Epoch }, FirstSequence = first };
            request.Encoded.AddRange(Enumerable.Range(0, Batch).Select(i => Google.Protobuf.ByteString.CopyFrom(Report(first + (ulong)i))));
            try
            {
                PushResponse answer = await client.PushAsync(request, cancellationToken: _stop.Token);
                Interlocked.Exchange(ref _acknowledged, (long)answer.Durable.Ranges[0].Last);
                Interlocked.Exchange(ref _moved, new(TaskCreationOptions.RunContinuationsAsynchronously)).TrySetResult();
            }
            catch (RpcException)
            {
                // The hub is dead. The same batch again: if it had become durable unheard, it counts as a duplicate.
                await _whenHubIsUp().WaitAsync(_stop.Token);
            }
        }
    }

    private static byte[] Report(ulong sequence)
    {
        Instant time = Start + Duration.FromSeconds((long)sequence);
        var body = new TemperatureReading(KitId.Parse("valley hide"), "probe", new Celsius(-(double)(sequence % 400) / 10));
        return ReportCodec.Encode(HybridTime.From(time.ToUnixTimeMilliseconds(), 0), new Domain.Time.DeviceTime(time, new BootId(7), (long)sequence * 1_000_000_000), body);
    }
}
