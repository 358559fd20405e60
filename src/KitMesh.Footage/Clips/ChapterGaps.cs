using System.Globalization;
using System.Text.RegularExpressions;

namespace KitMesh.Footage.Clips;

// The problem: a long recording is cut into files of one name and a running number, and one that is missing in the middle
// is found in the edit, months later. The trap: cameras also number their clips, and a number missing there is only a
// clip that somebody deleted. The method: a chapter number stands behind a '_' or '-' and has one to three digits, while
// clip counters have four or more (common practice, no source); files in one folder with one stem and one extension are
// one recording; a number missing between two that are there is a gap. Cameras with two slots go on on the other card in
// the middle of a recording: a chapter of the same name that is known from another card is no gap. Counters of many cameras
// start at the same number, so that a name alone proves little: whoever answers for other cards looks at the days, too.

/// <summary>Missing chapters of recordings that span several files.</summary>
public static partial class ChapterGaps
{
    /// <summary>Finds gaps.</summary>
    /// <param name="paths">Every path on a card, with '/' between its parts.</param>
    /// <param name="elsewhere">Whether a chapter of this path is known from another card of those days; null for none known.</param>
    /// <returns>One line for each gap, for a person.</returns>
    public static IReadOnlyList<string> Find(IEnumerable<string> paths, Func<string, bool>? elsewhere = null)
    {
        List<string> gaps = [];
        var recordings = paths
            .Where(ClipInspection.Knows)
            .Select(path => (Path: path, Match: Chapter().Match(path)))
            .Where(pair => pair.Match.Success)
            .GroupBy(pair => (Stem: pair.Match.Groups["stem"].Value, Width: pair.Match.Groups["number"].Length, End: pair.Match.Groups["end"].Value));
        foreach (var recording in recordings)
        {
            List<int> numbers = [.. recording.Select(pair => int.Parse(pair.Match.Groups["number"].Value, CultureInfo.InvariantCulture)).Distinct().Order()];
            string Name(int number) => recording.Key.Stem + number.ToString(CultureInfo.InvariantCulture).PadLeft(recording.Key.Width, '0') + recording.Key.End;
            for (int i = 1; i < numbers.Count; i++)
            {
                List<int> missing = [.. Enumerable.Range(numbers[i - 1] + 1, numbers[i] - numbers[i - 1] - 1).Where(number => elsewhere?.Invoke(Name(number)) != true)];
                if (missing.Count > 0)
                {
                    gaps.Add(missing.Count == 1
                        ? $"{Name(missing[0])} is missing between two chapters of the same recording"
                        : $"{Name(missing[0])} to {Name(missing[^1])} are missing between two chapters of the same recording");
                }
            }
        }

        return gaps;
    }

    [GeneratedRegex(@"^(?<stem>.*[^/_\-][_\-])(?<number>\d{1,3})(?<end>\.[^./]+)$", RegexOptions.CultureInvariant)]
    private static partial Regex Chapter();
}
