using Google.Protobuf;

namespace KitMesh.Protocol;

/// <summary>Finds the number of the kind in a message whose body this version does not know.</summary>
internal static class BodyNumber
{
    private const int Offset = 10;

    /// <summary>The kind's number (field number less 10) of the last field past 10; null when there is none.</summary>
    /// <param name="bytes">A well-formed message.</param>
    public static int? Find(byte[] bytes)
    {
        int? found = null;
        using var input = new CodedInputStream(bytes);
        for (uint tag = input.ReadTag(); tag != 0; tag = input.ReadTag())
        {
            int field = WireFormat.GetTagFieldNumber(tag);
            if (field > Offset)
            {
                found = field - Offset;
            }

            input.SkipLastField();
        }

        return found;
    }
}
