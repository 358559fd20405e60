using System.Net.Sockets;
using System.Text;
using System.Text.Json;

namespace KitMesh.Container.Tests;

/// <summary>Takes a container off its network and puts it back: two calls of the engine's API that the library does not have.</summary>
internal sealed class MeshNetwork(string name) : IDisposable
{
    private readonly HttpClient _engine = new(new SocketsHttpHandler { ConnectCallback = ConnectAsync }) { BaseAddress = new Uri("http://engine"), Timeout = TimeSpan.FromMinutes(2) };

    public string Name => name;

    public Task DisconnectAsync(string container) => PostAsync("disconnect", JsonSerializer.Serialize(new { Container = container, Force = true }));

    public Task ConnectAsync(string container, string alias) =>
        PostAsync("connect", JsonSerializer.Serialize(new { Container = container, EndpointConfig = new { Aliases = new[] { alias } } }));

    public void Dispose() => _engine.Dispose();

    private static async ValueTask<Stream> ConnectAsync(SocketsHttpConnectionContext context, CancellationToken cancellation)
    {
        var socket = new Socket(AddressFamily.Unix, SocketType.Stream, ProtocolType.Unspecified);
        await socket.ConnectAsync(new UnixDomainSocketEndPoint(Engine.SocketPath), cancellation);
        return new NetworkStream(socket, ownsSocket: true);
    }

    private async Task PostAsync(string verb, string body)
    {
        using var content = new StringContent(body, Encoding.UTF8, "application/json");
        using HttpResponseMessage answer = await _engine.PostAsync(new Uri($"/v1.41/networks/{name}/{verb}", UriKind.Relative), content, TestContext.Current.CancellationToken);
        string words = await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);
        Assert.True(answer.IsSuccessStatusCode, words);
    }
}
