using System.Globalization;
using KitMesh.Domain.Reports;

namespace KitMesh.Export.Handover;

/// <summary>
/// Numbers missing between the files of one card and day: deleted in the camera, or never read.
/// </summary>
/// <remarks>
/// Cameras number their files; a name is taken as what stands before its last run of digits, the number, and what stands
/// after. Numbers that wrap, or jump by more than <see cref="MostJump"/>, start a new run: no gap is claimed there.
/// </remarks>
internal static class NumberGaps
{
    private const long MostJump = 50;

    public static IEnumerable<(KitId Card, string Missing)> Of(IEnumerable<InventoryClip> day)
    {
        foreach (var run in day
            .Select(clip => (clip.Card, Name: Split(clip.Path)))
            .Where(clip => clip.Name is not null)
            .GroupBy(clip => (clip.Card, clip.Name!.Value.Before, clip.Name.Value.After))
            .OrderBy(run => run.Key.Card)
            .ThenBy(run => run.Key.Before, StringComparer.Ordinal)
            .ThenBy(run => run.Key.After, StringComparer.Ordinal))
        {
            (long Number, int Digits)[] numbers = [.. run.Select(clip => (clip.Name!.Value.Number, clip.Name.Value.Digits)).Distinct().Order()];
            for (int i = 1; i < numbers.Length; i++)
            {
                long jump = numbers[i].Number - numbers[i - 1].Number;
                if (jump is > 1 and <= MostJump)
                {
                    yield return (run.Key.Card, Words(run.Key.Before, run.Key.After, numbers[i - 1].Number + 1, numbers[i].Number - 1, numbers[i].Digits));
                }
            }
        }
    }

    private static string Words(string before, string after, long first, long last, int digits)
    {
        string from = $"{before}{first.ToString($"D{digits}", CultureInfo.InvariantCulture)}{after}";
        return first == last ? from : $"{from} to {before}{last.ToString($"D{digits}", CultureInfo.InvariantCulture)}{after}";
    }

    private static (string Before, long Number, int Digits, string After)? Split(string path)
    {
        int dot = path.LastIndexOf('.');
        int end = dot < 0 ? path.Length : dot;
        while (end > 0 && !char.IsAsciiDigit(path[end - 1]) && path[end - 1] != '/')
        {
            end--;
        }

        int start = end;
        while (start > 0 && char.IsAsciiDigit(path[start - 1]))
        {
            start--;
        }

        // Long runs of digits are dates and times, no counters.
        return end - start is >= 2 and <= 6 && long.TryParse(path.AsSpan(start, end - start), NumberStyles.None, CultureInfo.InvariantCulture, out long number)
            ? (path[..start], number, end - start, path[end..])
            : null;
    }
}
