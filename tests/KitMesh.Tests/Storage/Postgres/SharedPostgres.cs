using KitMesh.TestKit.Storage;

namespace KitMesh.Tests.Storage.Postgres;

/// <summary>One server for all tests that only need a schema of their own.</summary>
public sealed class SharedPostgres : IAsyncLifetime
{
    private PostgresServer? _server;

    /// <summary>The server; the test is skipped where there is none.</summary>
    public PostgresServer Server
    {
        get
        {
            Assert.SkipWhen(_server is null, PostgresServer.Missing);
            return _server;
        }
    }

    public async ValueTask InitializeAsync() => _server = PostgresServer.Programs is null ? null : await PostgresServer.StartAsync();

    public async ValueTask DisposeAsync()
    {
        if (_server is not null)
        {
            await _server.DisposeAsync();
        }
    }
}
