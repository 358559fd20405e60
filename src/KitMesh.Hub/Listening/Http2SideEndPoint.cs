using System.Net;
using System.Net.Sockets;

namespace KitMesh.Hub.Listening;

/// <summary>The inner door through which <see cref="SharedPortListenerFactory"/> hands over HTTP/2 connections.</summary>
internal sealed class Http2SideEndPoint : EndPoint
{
    /// <summary>How the door shows in a list of addresses.</summary>
    public const string Name = "http2-side";

    public override AddressFamily AddressFamily => AddressFamily.Unspecified;

    public override string ToString() => Name;
}
