using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Protocol.Reports;

/// <summary>Kind 7 to and from the wire.</summary>
internal static class CopyMadeCodec
{
    public static V1.CopyMade Write(CopyMade made)
    {
        return new V1.CopyMade
        {
            Clip = ClipHashCodec.Write(made.Clip),
            Drive = made.Drive.Value,
            Path = made.Path,
            SizeBytes = made.Size.Value,
        };
    }

    public static CopyMade Read(V1.CopyMade message, FieldReader fields)
    {
        return new CopyMade(
            fields.Clip(message.Clip, "clip"),
            fields.Id(message.Drive, "drive"),
            message.Path,
            new ByteCount(message.SizeBytes));
    }
}
