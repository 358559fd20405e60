using Grpc.Net.Client;
using KitMesh.Protocol.V1;

namespace KitMesh.Cli.Asking;

/// <summary>Asks a hub. What it cannot answer is printed by <see cref="Frame.FaultPrinter"/>.</summary>
internal sealed class HubClient : IDisposable
{
    private const int LongestSeconds = 60;

    private readonly GrpcChannel _channel;
    private readonly OutlookService.OutlookServiceClient _client;
    private readonly TimeProvider _machine;
    private readonly CancellationToken _stop;

    public HubClient(Uri hub, TimeProvider machine, CancellationToken stop)
    {
        _channel = GrpcChannel.ForAddress(hub, new GrpcChannelOptions { MaxReceiveMessageSize = 64 << 20 });
        _client = new OutlookService.OutlookServiceClient(_channel);
        _machine = machine;
        _stop = stop;
    }

    public async Task<GetOutlookResponse> OutlookAsync(GetOutlookRequest request) => await _client.GetOutlookAsync(request, deadline: Deadline, cancellationToken: _stop);

    public async Task<GetLedgerResponse> LedgerAsync(GetLedgerRequest request) => await _client.GetLedgerAsync(request, deadline: Deadline, cancellationToken: _stop);

    public async Task<GetAdviceResponse> AdviceAsync(GetAdviceRequest request) => await _client.GetAdviceAsync(request, deadline: Deadline, cancellationToken: _stop);

    public async Task<GetAlertsResponse> AlertsAsync() => await _client.GetAlertsAsync(new GetAlertsRequest(), deadline: Deadline, cancellationToken: _stop);

    public async Task<GetStatusResponse> StatusAsync() => await _client.GetStatusAsync(new GetStatusRequest(), deadline: Deadline, cancellationToken: _stop);

    public async Task<GetReportsResponse> ReportsAsync(GetReportsRequest request) => await _client.GetReportsAsync(request, deadline: Deadline, cancellationToken: _stop);

    /// <inheritdoc/>
    public void Dispose() => _channel.Dispose();

    private DateTime Deadline => _machine.GetUtcNow().UtcDateTime.AddSeconds(LongestSeconds);
}
