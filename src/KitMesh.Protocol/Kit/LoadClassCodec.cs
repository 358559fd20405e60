using KitMesh.Domain.Kit;

namespace KitMesh.Protocol.Kit;

/// <summary>How much a load matters. There is no safe guess: an unknown class makes the item unreadable.</summary>
internal static class LoadClassCodec
{
    public static V1.LoadClass Write(LoadClass loadClass) => (V1.LoadClass)((int)loadClass + 1);

    public static LoadClass Read(V1.LoadClass loadClass, FieldReader fields)
    {
        var known = (LoadClass)((int)loadClass - 1);
        if (!Enum.IsDefined(known))
        {
            fields.Blame("load class is not known");
        }

        return known;
    }
}
