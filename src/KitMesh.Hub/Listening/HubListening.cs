using System.Net;
using System.Security.Authentication;
using KitMesh.Hub.Enrolment;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Hosting.Server;
using Microsoft.AspNetCore.Hosting.Server.Features;
using Microsoft.AspNetCore.Server.Kestrel.Core;
using Microsoft.Extensions.DependencyInjection;

namespace KitMesh.Hub.Listening;

/// <summary>Sets up the one port that pages, JSON and gRPC share.</summary>
internal static class HubListening
{
    /// <summary>Configures the server.</summary>
    public static void Configure(ConfigureWebHostBuilder host, HubOptions options, HubIdentity? identity) => host.ConfigureKestrel(kestrel =>
    {
        kestrel.AddServerHeader = false;
        // The message limit of gRPC answers in words, so it comes first; this one stops what is no message at all.
        kestrel.Limits.MaxRequestBodySize = (2L * options.MaxMessageBytes) + 65_536;
        kestrel.Limits.MaxConcurrentConnections = (2 * options.MaxSessions) + 64;
        kestrel.Limits.Http2.KeepAlivePingDelay = TimeSpan.FromMinutes(1);
        kestrel.Limits.Http2.KeepAlivePingTimeout = TimeSpan.FromSeconds(30);
        IPAddress address = IPAddress.TryParse(options.Listen.Host.Trim('[', ']'), out IPAddress? parsed) ? parsed : IPAddress.Loopback;
        if (identity is not null)
        {
            TlsListening.Add(kestrel, new IPEndPoint(address, options.Listen.Port), options, identity);
            return;
        }

        if (options.Certificate is { } certificate)
        {
            // TLS chooses the protocol by itself (ALPN).
            kestrel.Listen(new IPEndPoint(address, options.Listen.Port), listen =>
            {
                listen.Protocols = HttpProtocols.Http1AndHttp2;
                listen.UseHttps(certificate, https => https.SslProtocols = SslProtocols.Tls13);
            });
            return;
        }

        kestrel.Listen(new IPEndPoint(address, options.Listen.Port), listen => listen.Protocols = HttpProtocols.Http1);
        kestrel.Listen(new Http2SideEndPoint(), listen => listen.Protocols = HttpProtocols.Http2);
    });

    /// <summary>The real address of a started server.</summary>
    public static Uri AddressOf(WebApplication web)
    {
        IServerAddressesFeature addresses = web.Services.GetRequiredService<IServer>().Features.Get<IServerAddressesFeature>()!;
        return new Uri(addresses.Addresses.First(address =>
            !address.Contains(Http2SideEndPoint.Name, StringComparison.Ordinal) && !address.StartsWith("http://unix:", StringComparison.Ordinal)));
    }
}
