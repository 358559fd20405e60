using KitMesh.Domain.Reports;

namespace KitMesh.Protocol.Reports;

/// <summary>Tells the kind of an encoded report without reading the rest: for passes over a whole journal that want few kinds.</summary>
public static class BodyPeek
{
    /// <summary>Field numbers past this are bodies; the kind's number is the rest.</summary>
    private const int Offset = 10;

    private const int Varint = 0;
    private const int Fixed64 = 1;
    private const int Delimited = 2;
    private const int Fixed32 = 5;

    private static readonly int LastKind = Enum.GetValues<ReportKind>().Max(kind => (int)kind);

    /// <summary>The kind that a report claims to be of; null when only decoding can tell.</summary>
    /// <param name="bytes">The report.</param>
    public static ReportKind? KindOf(ReadOnlySpan<byte> bytes)
    {
        int found = 0;
        while (!bytes.IsEmpty)
        {
            ulong skip = 0;
            if (!TryNumber(ref bytes, out ulong tag) || tag > uint.MaxValue)
            {
                return null;
            }

            // Of several bodies the last one counts, and what is no body that this version knows is passed over: as decoding does.
            int kind = (int)(tag >> 3) - Offset;
            found = kind > 0 && kind <= LastKind && (tag & 7) == Delimited ? kind : found;
            bool fits = (tag & 7) switch
            {
                Varint => TryNumber(ref bytes, out _),
                Delimited => TryNumber(ref bytes, out skip),
                Fixed64 => (skip = sizeof(ulong)) > 0,
                Fixed32 => (skip = sizeof(uint)) > 0,
                _ => false,
            };
            if (!fits || skip > (ulong)bytes.Length)
            {
                return null;
            }

            bytes = bytes[(int)skip..];
        }

        return (ReportKind)found;
    }

    private static bool TryNumber(ref ReadOnlySpan<byte> bytes, out ulong number)
    {
        number = 0;
        for (int i = 0; i < bytes.Length && i < 10; i++)
        {
            number |= (ulong)(bytes[i] & 0x7f) << (7 * i);
            if (bytes[i] < 0x80)
            {
                bytes = bytes[(i + 1)..];
                return true;
            }
        }

        return false;
    }
}
