using System.Net.Sockets;

namespace KitMesh.Container.Tests;

/// <summary>Whether a Docker-compatible engine answers here.</summary>
internal static class Engine
{
    private const string DefaultSocket = "/var/run/docker.sock";

    /// <summary>Where the engine answers.</summary>
    public static string SocketPath =>
        Environment.GetEnvironmentVariable("DOCKER_HOST") is { } host && host.StartsWith("unix://", StringComparison.Ordinal) ? host["unix://".Length..] : DefaultSocket;

    /// <summary>Ends the test as skipped, with the reason, where no engine answers.</summary>
    public static void SkipIfMissing()
    {
        if (WhyMissing() is { } reason)
        {
            Assert.Skip(reason);
        }
    }

    private static string? WhyMissing()
    {
        string address = Environment.GetEnvironmentVariable("DOCKER_HOST") ?? $"unix://{DefaultSocket}";
        if (!address.StartsWith("unix://", StringComparison.Ordinal))
        {
            return null;
        }

        string path = address["unix://".Length..];
        if (!File.Exists(path))
        {
            return $"No container engine: {path} is not there. Start one, or name it in DOCKER_HOST.";
        }

        using var socket = new Socket(AddressFamily.Unix, SocketType.Stream, ProtocolType.Unspecified);
        try
        {
            socket.Connect(new UnixDomainSocketEndPoint(path));
            return null;
        }
        catch (SocketException fault)
        {
            return $"No container engine: {path} does not answer ({fault.SocketErrorCode}).";
        }
    }
}
