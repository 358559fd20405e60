using Grpc.Core;
using Grpc.Net.Client;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.V1;

namespace KitMesh.Cli.Asking;

/// <summary>Asks a hub. What it cannot answer is printed by <see cref="Frame.FaultPrinter"/>.</summary>
internal sealed class HubClient : IDisposable
{
    private const int LongestSeconds = 120;

    private readonly GrpcChannel _channel;
    private readonly OutlookService.OutlookServiceClient _client;
    private readonly Uri _hub;
    private readonly DigestService.DigestServiceClient _digests;
    private readonly MeshService.MeshServiceClient _mesh;
    private readonly TimeProvider _machine;
    private readonly CancellationToken _stop;

    public HubClient(Uri hub, TimeProvider machine, CancellationToken stop, string? identityFolder = null)
    {
        _channel = HubChannel.Open(hub, identityFolder ?? HubChannel.StandardFolder, out ISealSigner? signer);
        Signer = signer;
        _client = new OutlookService.OutlookServiceClient(_channel);
        _hub = hub;
        _digests = new DigestService.DigestServiceClient(_channel);
        _mesh = new MeshService.MeshServiceClient(_channel);
        _machine = machine;
        _stop = stop;
    }

    /// <summary>Signs what is written here; null at a hub that asks nobody.</summary>
    public ISealSigner? Signer { get; }

    public Task<GetOutlookResponse> OutlookAsync(GetOutlookRequest request) => AskAsync(_client.GetOutlookAsync, request);

    public Task<GetLedgerResponse> LedgerAsync(GetLedgerRequest request) => AskAsync(_client.GetLedgerAsync, request);

    public Task<GetAdviceResponse> AdviceAsync(GetAdviceRequest request) => AskAsync(_client.GetAdviceAsync, request);

    public Task<GetAlertsResponse> AlertsAsync(string team = "") => AskAsync(_client.GetAlertsAsync, new GetAlertsRequest { Team = team });

    public Task<GetStatusResponse> StatusAsync() => AskAsync(_client.GetStatusAsync, new GetStatusRequest());

    public Task<GetReportsResponse> ReportsAsync(GetReportsRequest request) => AskAsync(_client.GetReportsAsync, request);

    public Task<PackDigestResponse> PackDigestAsync(PackDigestRequest request) => AskAsync(_digests.PackDigestAsync, request);

    public Task<HearDigestResponse> HearDigestAsync(HearDigestRequest request) => AskAsync(_digests.HearDigestAsync, request);

    public Task<PushResponse> PushAsync(PushRequest request) => AskAsync(_mesh.PushAsync, request);

    /// <inheritdoc/>
    public void Dispose() => _channel.Dispose();

    private async Task<TAnswer> AskAsync<TRequest, TAnswer>(Func<TRequest, Metadata?, DateTime?, CancellationToken, AsyncUnaryCall<TAnswer>> call, TRequest request)
    {
        try
        {
            return await call(request, null, _machine.GetUtcNow().UtcDateTime.AddSeconds(LongestSeconds), _stop);
        }
        catch (RpcException silent) when (!_stop.IsCancellationRequested && (silent.StatusCode is StatusCode.Unavailable or StatusCode.DeadlineExceeded || NeverArrived(silent)))
        {
            throw silent.StatusCode == StatusCode.DeadlineExceeded
                ? new CommandFault(ExitCode.HubUnreachable, $"The hub at {_hub} did not answer in time.", "It is busy: ask again. Nothing was changed.", silent)
                : CommandFault.HubUnreachable(_hub, silent);
        }
    }

    /// <summary>A connection that breaks while it is made (http asked of an https address, say) never reached a hub.</summary>
    private static bool NeverArrived(RpcException fault) => fault.Status.DebugException is HttpRequestException or IOException;
}
