using KitMesh.Domain.Reports;

namespace KitMesh.Protocol.Reports;

/// <summary>How surely a read-back came from the medium; what is not known counts as the weakest, so that it is never proof.</summary>
internal static class ReadBackLevelCodec
{
    public static V1.ReadBackLevel Write(ReadBackLevel level) => (V1.ReadBackLevel)((int)level + 1);

    public static ReadBackLevel Read(V1.ReadBackLevel level, FieldReader fields)
    {
        _ = fields;
        var known = (ReadBackLevel)((int)level - 1);
        return Enum.IsDefined(known) ? known : ReadBackLevel.Cached;
    }
}
