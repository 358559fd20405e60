using System.Net;
using KitMesh.Hub.Listening;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Connections;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Hosting.Server;
using Microsoft.AspNetCore.Hosting.Server.Features;
using Microsoft.AspNetCore.Server.Kestrel.Core;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;

namespace KitMesh.Hub;

/// <summary>A running hub inside this process: the command starts it, and so do tests.</summary>
public sealed class HubApplication : IAsyncDisposable
{
    private readonly WebApplication _web;

    private HubApplication(WebApplication web, Uri address)
    {
        _web = web;
        Address = address;
    }

    /// <summary>Where pages, JSON and gRPC answer, with the real port.</summary>
    public Uri Address { get; }

    /// <summary>Starts a hub. When this returns, it answers.</summary>
    /// <param name="options">How it runs.</param>
    /// <param name="clocks">Its clocks.</param>
    /// <param name="logging">Where it tells what it does; null for nowhere.</param>
    /// <param name="cancellation">Gives up starting.</param>
    /// <exception cref="HubOptionsException">The options are wrong.</exception>
    public static async Task<HubApplication> StartAsync(
        HubOptions options,
        HubClocks clocks,
        Action<ILoggingBuilder>? logging,
        CancellationToken cancellation)
    {
        IReadOnlyList<string> problems = HubOptionsCheck.Problems(options);
        if (problems.Count > 0)
        {
            throw new HubOptionsException(problems);
        }

        WebApplicationBuilder builder = WebApplication.CreateSlimBuilder(new WebApplicationOptions { ApplicationName = typeof(HubApplication).Assembly.GetName().Name });
        builder.Configuration.Sources.Clear();
        builder.Logging.ClearProviders();
        logging?.Invoke(builder.Logging);
        builder.Services.AddSingleton(options);
        builder.Services.AddSingleton(clocks);
        builder.Services.AddSingleton<IConnectionListenerFactory, SharedPortListenerFactory>();
        builder.Services.AddGrpcHealthChecks();
        builder.WebHost.ConfigureKestrel(kestrel => Listen(kestrel, options));
        WebApplication web = builder.Build();
        web.MapGrpcHealthChecksService();
        try
        {
            await web.StartAsync(cancellation).ConfigureAwait(false);
        }
        catch
        {
            await web.DisposeAsync().ConfigureAwait(false);
            throw;
        }

        return new HubApplication(web, AddressOf(web));
    }

    /// <summary>Ends when somebody asked the hub to stop.</summary>
    /// <param name="cancellation">Asks it to stop.</param>
    public Task WaitForStopAsync(CancellationToken cancellation) => _web.WaitForShutdownAsync(cancellation);

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        await _web.StopAsync().ConfigureAwait(false);
        await _web.DisposeAsync().ConfigureAwait(false);
    }

    private static void Listen(KestrelServerOptions kestrel, HubOptions options)
    {
        kestrel.AddServerHeader = false;
        IPAddress address = IPAddress.TryParse(options.Listen.Host.Trim('[', ']'), out IPAddress? parsed) ? parsed : IPAddress.Loopback;
        var shared = new IPEndPoint(address, options.Listen.Port);
        kestrel.Listen(shared, listen => listen.Protocols = HttpProtocols.Http1);
        kestrel.Listen(new Http2SideEndPoint(), listen => listen.Protocols = HttpProtocols.Http2);
    }

    private static Uri AddressOf(WebApplication web)
    {
        IServerAddressesFeature addresses = web.Services.GetRequiredService<IServer>().Features.Get<IServerAddressesFeature>()!;
        return new Uri(addresses.Addresses.First(address => address.StartsWith("http://", StringComparison.Ordinal) && !address.Contains(Http2SideEndPoint.Name, StringComparison.Ordinal)));
    }
}
