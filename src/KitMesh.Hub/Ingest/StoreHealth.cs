using KitMesh.Storage;
using Microsoft.Extensions.Diagnostics.HealthChecks;

namespace KitMesh.Hub.Ingest;

/// <summary>Tells <c>grpc.health.v1</c> whether questions can be answered. Reports are taken either way.</summary>
internal sealed class StoreHealth(StoreKeeper keeper) : IHealthCheck
{
    public Task<HealthCheckResult> CheckHealthAsync(HealthCheckContext context, CancellationToken cancellationToken = default)
    {
        try
        {
            _ = keeper.Store;
            return Task.FromResult(HealthCheckResult.Healthy());
        }
        catch (StoreFaultedException fault)
        {
            return Task.FromResult(HealthCheckResult.Degraded(fault.Message));
        }
    }
}
