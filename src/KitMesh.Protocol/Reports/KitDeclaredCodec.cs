using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.Kit;

namespace KitMesh.Protocol.Reports;

/// <summary>Kind 12 to and from the wire.</summary>
internal static class KitDeclaredCodec
{
    public static V1.KitDeclared Write(KitDeclared declared) => new()
    {
        Item = KitItemCodec.Write(declared.Item),
        Withdrawn = declared.Withdrawn,
    };

    public static KitDeclared? Read(V1.KitDeclared message, FieldReader fields)
    {
        KitItem? item = KitItemCodec.Read(message.Item, fields);
        return item is null ? null : new KitDeclared(item, message.Withdrawn);
    }
}
