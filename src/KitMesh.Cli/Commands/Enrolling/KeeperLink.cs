using System.CommandLine;
using System.Net.Sockets;
using Grpc.Net.Client;
using KitMesh.Cli.Asking;
using KitMesh.Cli.Frame;
using KitMesh.Hub.Enrolment;
using KitMesh.Protocol.V1;

namespace KitMesh.Cli.Commands.Enrolling;

/// <summary>The two ways to a hub as a keeper: on its own machine by the data folder, elsewhere by a keeper's certificate.</summary>
internal sealed class KeeperLink
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(60);
    private readonly Option<DirectoryInfo?> _data = new("--data") { Description = "The hub's data folder, on the hub's own machine: whoever may enter it is a keeper.", HelpName = "folder" };
    private readonly Option<Uri> _hub = OptionKit.Hub();

    /// <summary>Adds the options to a command.</summary>
    public void AddTo(Command command)
    {
        command.Options.Add(_data);
        command.Options.Add(_hub);
    }

    /// <summary>Makes one call.</summary>
    public async Task<T> CallAsync<T>(CommandRun run, Func<EnrolService.EnrolServiceClient, DateTime, Task<T>> call)
    {
        using GrpcChannel channel = run.Get(_data) is { } data ? OnThisMachine(data.FullName) : HubChannel.Open(run.Get(_hub), run.IdentityFolder);
        return await call(new EnrolService.EnrolServiceClient(channel), run.Surroundings.Machine.GetUtcNow().UtcDateTime + Patience);
    }

    private static GrpcChannel OnThisMachine(string data)
    {
        string socket = new HubIdentityFolder(data).Socket;
        if (!File.Exists(socket))
        {
            throw new CommandFault(
                ExitCode.HubUnreachable,
                $"No hub that others can join runs with the data folder {data}.",
                "Start it with an https address first: kitmesh hub --data FOLDER --listen https://0.0.0.0:7433");
        }

        var handler = new SocketsHttpHandler
        {
            UseProxy = false,
            ConnectCallback = async (_, stop) =>
            {
                var connection = new Socket(AddressFamily.Unix, SocketType.Stream, ProtocolType.Unspecified);
                try
                {
                    await connection.ConnectAsync(new UnixDomainSocketEndPoint(socket), stop);
                    return new NetworkStream(connection, ownsSocket: true);
                }
                catch
                {
                    connection.Dispose();
                    throw;
                }
            },
        };
        return GrpcChannel.ForAddress("http://localhost", new GrpcChannelOptions { HttpHandler = handler, DisposeHttpClient = true });
    }
}
