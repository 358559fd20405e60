using System.Net.Sockets;
using Grpc.Net.Client;
using KitMesh.Agent.Identity;
using KitMesh.Domain.Reports;
using KitMesh.Hub;
using KitMesh.Hub.Enrolment;
using KitMesh.Protocol.Certificates;
using KitMesh.Protocol.V1;
using KitMesh.TestKit.Hub;
using Microsoft.Extensions.Logging;
using NodaTime;

namespace KitMesh.TestKit.Enrolment;

/// <summary>A real hub at an https address in this process, with the owner's socket and devices that joined it.</summary>
/// <remarks>Its world clock says 2027, so to this machine's clock its certificates are not valid yet: every test dials with a dead clock.</remarks>
public sealed class JoinableHub : IAsyncDisposable
{
    private readonly List<IDisposable> _owned = [];

    private JoinableHub(TestHub hub) => Hub = hub;

    public TestHub Hub { get; }

    public Uri Address => Hub.Address;

    public EnrolService.EnrolServiceClient Owner { get; private set; } = null!;

    public static async Task<JoinableHub> StartAsync(string? folder = null, Instant? now = null, Func<HubOptions, HubOptions>? change = null, Action<ILoggingBuilder>? logging = null)
    {
        var hub = new JoinableHub(await TestHub.StartAsync(
            folder,
            options => (change ?? (same => same))(options with { Listen = new Uri("https://127.0.0.1:0") }),
            now,
            logging));
        hub.Owner = new EnrolService.EnrolServiceClient(hub.Own(OwnerChannel(hub.Hub.Folder)));
        return hub;
    }

    public async Task<(EnrolCode Code, Sha256Hash Pin)> MintAsync(string node, string role = "writer", uint seconds = 600)
    {
        MintCodeResponse made = await Owner.MintCodeAsync(new MintCodeRequest { Node = node, Roles = { role.Split(' ') }, Seconds = seconds });
        return EnrolCode.TryParse(made.Code, out EnrolCode? code) && KeyPin.TryParse(made.Pin, out Sha256Hash pin)
            ? (code, pin)
            : throw new InvalidOperationException("The hub made no code.");
    }

    public Task<EnrolOutcome> EnrolAsync(EnrolCode code, Sha256Hash? pin = null) => new EnrolClient(Address, pin).EnrolAsync(code, TimeProvider.System, default);

    /// <summary>Lets a device in and keeps its identity in a folder.</summary>
    public async Task<IdentityFolder> JoinAsync(string node, string role = "writer")
    {
        (EnrolCode code, Sha256Hash pin) = await MintAsync(node, role);
        EnrolOutcome outcome = await EnrolAsync(code, pin);
        var folder = new IdentityFolder(Path.Combine(Hub.Folder, $"device-{node}"));
        folder.Save(outcome as EnrolOutcome.Enrolled ?? throw new InvalidOperationException($"Not let in: {outcome}"));
        return folder;
    }

    /// <summary>A channel that shows a device's certificate.</summary>
    public GrpcChannel Channel(IdentityFolder folder, Uri? address = null)
    {
        NodeIdentity identity = Own(folder.TryLoad(out NodeIdentity? loaded, out string? why) ? loaded : throw new InvalidOperationException(why));
        return Own(GrpcChannel.ForAddress(address ?? Address, new GrpcChannelOptions { HttpHandler = identity.CreateHandler(), DisposeHttpClient = true }));
    }

    /// <summary>A channel of somebody without a certificate, who believes every hub.</summary>
    public GrpcChannel StrangerChannel() => Own(GrpcChannel.ForAddress(Address, new GrpcChannelOptions { HttpHandler = StrangerHandler(), DisposeHttpClient = true }));

    public static SocketsHttpHandler StrangerHandler() => new() { SslOptions = { RemoteCertificateValidationCallback = static (_, _, _, _) => true } };

    public async ValueTask DisposeAsync()
    {
        _owned.Reverse();
        _owned.ForEach(owned => owned.Dispose());
        await Hub.DisposeAsync();
    }

    private static GrpcChannel OwnerChannel(string folder)
    {
        var endPoint = new UnixDomainSocketEndPoint(new HubIdentityFolder(folder).Socket);
        var handler = new SocketsHttpHandler
        {
            ConnectCallback = async (_, stop) =>
            {
                var socket = new Socket(AddressFamily.Unix, SocketType.Stream, ProtocolType.Unspecified);
                await socket.ConnectAsync(endPoint, stop);
                return new NetworkStream(socket, ownsSocket: true);
            },
        };
        return GrpcChannel.ForAddress("http://localhost", new GrpcChannelOptions { HttpHandler = handler, DisposeHttpClient = true });
    }

    private T Own<T>(T thing)
        where T : IDisposable
    {
        _owned.Add(thing);
        return thing;
    }
}
