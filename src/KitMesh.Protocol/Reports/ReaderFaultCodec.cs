using Google.Protobuf;
using KitMesh.Domain;
using KitMesh.Domain.Reports;

namespace KitMesh.Protocol.Reports;

/// <summary>Kind 16 to and from the wire.</summary>
internal static class ReaderFaultCodec
{
    public static V1.ReaderFault Write(ReaderFault fault)
    {
        var message = new V1.ReaderFault
        {
            Reader = fault.Reader,
            Message = fault.Message,
            Raw = ByteString.CopyFrom(fault.Raw.AsSpan()),
            Cleared = fault.Cleared,
        };
        if (fault.Subject is { } subject)
        {
            message.Subject = subject.Value;
        }

        return message;
    }

    public static ReaderFault Read(V1.ReaderFault message, FieldReader fields)
    {
        return new ReaderFault(
            message.Reader,
            fields.Id(message.HasSubject, message.Subject, "subject"),
            message.Message,
            ValueList.Create(message.Raw.Span),
            message.Cleared);
    }
}
