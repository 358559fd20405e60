using KitMesh.Domain.Reports;

namespace KitMesh.Protocol.Reports;

/// <summary>Kind 9 to and from the wire.</summary>
internal static class CopyFailedCodec
{
    public static V1.CopyFailed Write(CopyFailed failed)
    {
        var message = new V1.CopyFailed
        {
            Path = failed.Path,
            Failure = (V1.CopyFailure)(int)failed.Failure,
            Detail = failed.Detail,
        };
        if (failed.Clip is { } clip)
        {
            message.Clip = ClipHashCodec.Write(clip);
        }

        if (failed.Drive is { } drive)
        {
            message.Drive = drive.Value;
        }

        if (failed.Card is { } card)
        {
            message.Card = card.Value;
        }

        return message;
    }

    public static CopyFailed Read(V1.CopyFailed message, FieldReader fields)
    {
        return new CopyFailed(
            fields.Clip(message.HasClip, message.Clip, "clip"),
            fields.Id(message.HasDrive, message.Drive, "drive"),
            message.Path,
            Enum.IsDefined((CopyFailure)(int)message.Failure) ? (CopyFailure)(int)message.Failure : CopyFailure.Unknown,
            message.Detail,
            fields.Id(message.HasCard, message.Card, "card"));
    }
}
