using KitMesh.Domain.Reports;

namespace KitMesh.Protocol.Reports;

/// <summary>Kind 22 to and from the wire.</summary>
internal static class DigestHeardCodec
{
    public static V1.DigestHeard Write(DigestHeard heard) => new() { Line = heard.Line, Author = heard.Author };

    public static DigestHeard Read(V1.DigestHeard message) => new(message.Line, message.Author);
}
