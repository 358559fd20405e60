using System.Globalization;

namespace KitMesh.Sync.Journal.Format;

/// <summary>The names of a journal's files: ten digits and what the file is.</summary>
internal static class SegmentName
{
    internal const string RawEnding = ".kmj";
    internal const string SealedEnding = ".kmz";
    internal const string UnfinishedEnding = ".new";
    internal const string LockName = "journal.lock";

    internal static string Raw(ulong number) => number.ToString("d10", CultureInfo.InvariantCulture) + RawEnding;

    internal static string Sealed(ulong number) => number.ToString("d10", CultureInfo.InvariantCulture) + SealedEnding;

    internal static bool TryParse(string name, out ulong number, out bool isSealed)
    {
        number = 0;
        isSealed = name.EndsWith(SealedEnding, StringComparison.Ordinal);
        return (isSealed || name.EndsWith(RawEnding, StringComparison.Ordinal))
            && ulong.TryParse(name.AsSpan(0, name.Length - RawEnding.Length), NumberStyles.None, CultureInfo.InvariantCulture, out number)
            && number > 0;
    }
}
