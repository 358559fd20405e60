using KitMesh.Domain.Reports;

namespace KitMesh.Protocol.Reports;

/// <summary>Kind 17 to and from the wire.</summary>
internal static class AlertChangedCodec
{
    public static V1.AlertChanged Write(AlertChanged changed)
    {
        return new V1.AlertChanged
        {
            Rule = changed.Rule,
            Subject = changed.Subject.Value,
            Raised = changed.Raised,
            Message = changed.Message,
        };
    }

    public static AlertChanged Read(V1.AlertChanged message, FieldReader fields)
    {
        return new AlertChanged(
            message.Rule,
            fields.Id(message.Subject, "subject"),
            message.Raised,
            message.Message);
    }
}
