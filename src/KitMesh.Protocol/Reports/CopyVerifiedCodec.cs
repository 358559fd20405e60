using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Protocol.Reports;

/// <summary>Kind 8 to and from the wire.</summary>
internal static class CopyVerifiedCodec
{
    public static V1.CopyVerified Write(CopyVerified verified)
    {
        return new V1.CopyVerified
        {
            Clip = ClipHashCodec.Write(verified.Clip),
            Drive = verified.Drive.Value,
            Path = verified.Path,
            SizeBytes = verified.Size.Value,
            Level = ReadBackLevelCodec.Write(verified.Level),
            Recheck = verified.Recheck,
        };
    }

    public static CopyVerified Read(V1.CopyVerified message, FieldReader fields)
    {
        return new CopyVerified(
            fields.Clip(message.Clip, "clip"),
            fields.Id(message.Drive, "drive"),
            message.Path,
            new ByteCount(message.SizeBytes),
            ReadBackLevelCodec.Read(message.Level, fields),
            message.Recheck);
    }
}
