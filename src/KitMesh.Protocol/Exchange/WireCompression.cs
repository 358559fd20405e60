using Google.Protobuf;
using Grpc.Core;

namespace KitMesh.Protocol.Exchange;

/// <summary>Compresses both sides of a session by gRPC's own gzip, which every foreign peer understands.</summary>
/// <remarks>
/// Neighbouring reports share names, boot and the high bytes of their times: in bulk a reading of 76 bytes takes about 19.
/// A small frame would only grow by gzip's own head and tail, so it goes as it is.
/// </remarks>
public static class WireCompression
{
    private const int WorthIt = 256;

    private static readonly WriteOptions Plain = new(WriteFlags.NoCompress);

    /// <summary>Headers that ask for compression of what the side sends that says them: the caller's of the call, the called one's of its answer.</summary>
    public static Metadata Headers() => new() { { "grpc-internal-encoding-request", "gzip" } };

    /// <summary>How to write a message of a session.</summary>
    /// <param name="message">The message.</param>
    public static WriteOptions? For(IMessage message)
    {
        ArgumentNullException.ThrowIfNull(message);
        return message.CalculateSize() < WorthIt ? Plain : null;
    }
}
