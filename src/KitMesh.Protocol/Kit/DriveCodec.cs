using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;

namespace KitMesh.Protocol.Kit;

/// <summary>Kit kind 14 to and from the wire.</summary>
internal static class DriveCodec
{
    public static V1.Drive Write(Drive drive)
    {
        var message = new V1.Drive
        {
            Id = drive.Id.Value,
            CapacityBytes = drive.Capacity.Value,
            Medium = (V1.DriveMedium)(int)drive.Medium,
            AnnualFailureRate = drive.AnnualFailureRate,
            Intermediate = drive.Intermediate,
        };
        if (drive.Case is { } theCase)
        {
            message.Case = theCase.Value;
        }

        if (drive.MinTemperature is { } minCelsius)
        {
            message.MinCelsius = minCelsius.Value;
        }

        if (drive.MaxAltitude is { } maxAltitudeMetres)
        {
            message.MaxAltitudeMetres = maxAltitudeMetres.Value;
        }

        if (drive.Batch is { } batch)
        {
            message.Batch = batch.Value;
        }

        return message;
    }

    public static Drive Read(V1.Drive message, FieldReader fields)
    {
        return new Drive(
            fields.Id(message.Id, "name"),
            fields.Id(message.HasCase, message.Case, "case"),
            new ByteCount(message.CapacityBytes),
            Enum.IsDefined((DriveMedium)(int)message.Medium) ? (DriveMedium)(int)message.Medium : DriveMedium.Unknown,
            message.HasMinCelsius ? new Celsius(message.MinCelsius) : null,
            message.HasMaxAltitudeMetres ? new Metres(message.MaxAltitudeMetres) : null,
            message.AnnualFailureRate,
            fields.Id(message.HasBatch, message.Batch, "batch"),
            message.Intermediate);
    }
}
