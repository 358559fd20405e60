using KitMesh.Domain;
using KitMesh.Domain.Reports;
using KitMesh.Footage.Clips;
using NodaTime;

namespace KitMesh.Export.Handover;

/// <summary>
/// Which recorder covers which picture clip.
/// </summary>
/// <remarks>
/// <para>The problem: cameras and recorders drift apart by minutes. The traps: timecode, where both have it, meets but
/// begins anew each midnight, and some devices count it from nothing at each start; a recorder that runs all day covers
/// everything at any offset of the clocks, so that "most covered" alone picks an absurd one.</para>
/// <para>Method: timecode first; where a picture has none, or none of a recorder's sound runs beside it by timecode, the
/// clocks, with one offset for each pair of camera and recorder and day. Pairs with timecode teach it (the median). Without
/// them candidates are the differences of starts and of ends of their recordings up to <see cref="MostOffset"/>, and none;
/// the one under which most picture is covered wins, and among those within 2 % of it the smallest. Common practice, no
/// published source.</para>
/// </remarks>
internal static class SoundCover
{
    /// <summary>Clocks further apart cannot be told from another recording.</summary>
    public static readonly Duration MostOffset = Duration.FromMinutes(10);

    /// <summary>At least this share of a clip must be covered to be listed.</summary>
    private const double LeastShare = 0.05;

    private static readonly HashSet<string> SoundEndings =
        new(["wav", "bwf", "rf64", "w64", "flac", "aif", "aiff", "mp3", "m4a", "ogg", "caf"], StringComparer.OrdinalIgnoreCase);

    public static bool IsSound(InventoryClip clip)
    {
        int dot = clip.Path.LastIndexOf('.');
        return dot >= 0 && SoundEndings.Contains(clip.Path[(dot + 1)..]);
    }

    /// <summary>For each picture clip of one day that tells its time, the sound that runs beside it.</summary>
    public static IReadOnlyDictionary<InventoryClip, ValueList<SoundBeside>> Match(IReadOnlyCollection<InventoryClip> day)
    {
        InventoryClip[] timed = [.. day.Where(clip => clip.Recorded is not null && clip.Length is { } length && length > Duration.Zero)];
        InventoryClip[] sounds = [.. timed.Where(clip => IsSound(clip) && clip.Source is not null)];
        Dictionary<InventoryClip, ValueList<SoundBeside>> matches = new(ReferenceEqualityComparer.Instance);
        foreach (IGrouping<KitId?, InventoryClip> camera in timed.Where(clip => !IsSound(clip)).GroupBy(clip => clip.Source))
        {
            InventoryClip[] pictures = [.. camera];
            var offsets = sounds
                .GroupBy(sound => sound.Source!.Value)
                .Select(recorder => (Recorder: recorder.Key, Sounds: recorder.ToArray(), Offset: Learnt(pictures, [.. recorder]) ?? Offset(pictures, [.. recorder])))
                .OrderBy(recorder => recorder.Recorder)
                .ToArray();
            foreach (InventoryClip picture in pictures)
            {
                matches[picture] = offsets.SelectMany(recorder => Beside(picture, recorder.Recorder, recorder.Sounds, recorder.Offset)).ToValueList();
            }
        }

        return matches;
    }

    /// <summary>What to add to a recorder's clock so that it agrees with a camera's.</summary>
    internal static Duration Offset(IReadOnlyList<InventoryClip> pictures, IReadOnlyList<InventoryClip> sounds)
    {
        Duration best = Duration.Zero;
        double most = Covered(pictures, sounds, Duration.Zero);
        foreach (Duration offset in Candidates(pictures, sounds).Distinct().OrderBy(Size))
        {
            double covered = Covered(pictures, sounds, offset);
            if (covered > most * 1.02 && covered > 0)
            {
                (best, most) = (offset, covered);
            }
        }

        return best;
    }

    private static IEnumerable<Duration> Candidates(IReadOnlyList<InventoryClip> pictures, IReadOnlyList<InventoryClip> sounds)
    {
        foreach (InventoryClip picture in pictures)
        {
            foreach (InventoryClip sound in sounds)
            {
                Duration ofStarts = picture.Recorded!.Value - sound.Recorded!.Value;
                Duration ofEnds = ofStarts + picture.Length!.Value - sound.Length!.Value;
                if (Size(ofStarts) <= MostOffset)
                {
                    yield return WholeSeconds(ofStarts);
                }

                if (Size(ofEnds) <= MostOffset)
                {
                    yield return WholeSeconds(ofEnds);
                }
            }
        }
    }

    /// <summary>File times are whole seconds at best; so there are at most 1,201 candidates, however many clips.</summary>
    private static Duration WholeSeconds(Duration offset) => Duration.FromSeconds(Math.Round(offset.TotalSeconds));

    private static Duration Size(Duration offset) => offset < Duration.Zero ? -offset : offset;

    private static double Covered(IReadOnlyList<InventoryClip> pictures, IReadOnlyList<InventoryClip> sounds, Duration offset) =>
        pictures.Sum(picture => Math.Min(picture.Length!.Value.TotalSeconds, sounds.Sum(sound => Overlap(picture, sound, offset))));

    private static double Overlap(InventoryClip picture, InventoryClip sound, Duration offset)
    {
        Instant start = sound.Recorded!.Value + offset;
        Instant from = Instant.Max(picture.Recorded!.Value, start);
        Instant until = Instant.Min(picture.Recorded!.Value + picture.Length!.Value, start + sound.Length!.Value);
        return Math.Max(0, (until - from).TotalSeconds);
    }

    /// <summary>What pairs that run side by side by timecode teach of the two clocks; null without such a pair.</summary>
    private static Duration? Learnt(IReadOnlyList<InventoryClip> pictures, IReadOnlyList<InventoryClip> sounds)
    {
        List<Duration> taught = [];
        foreach (InventoryClip picture in pictures)
        {
            foreach (InventoryClip sound in sounds)
            {
                if (Shift(picture, sound) is { } shift && Beside(picture, sound, shift) > 0)
                {
                    taught.Add(shift - (sound.Recorded!.Value - picture.Recorded!.Value));
                }
            }
        }

        taught.Sort();
        return taught.Count > 0 ? taught[taught.Count / 2] : null;
    }

    private static Duration? Shift(InventoryClip picture, InventoryClip sound) =>
        SoundMatch.TimecodeShift(picture.Timecode, sound.Timecode, sound.Recorded!.Value - picture.Recorded!.Value);

    /// <summary>The share of a picture that a sound covers which begins so much later.</summary>
    private static double Beside(InventoryClip picture, InventoryClip sound, Duration shift)
    {
        double from = Math.Max(0, shift.TotalSeconds);
        double until = Math.Min(picture.Length!.Value.TotalSeconds, shift.TotalSeconds + sound.Length!.Value.TotalSeconds);
        return Math.Clamp((until - from) / picture.Length!.Value.TotalSeconds, 0, 1);
    }

    private static SoundBeside[] Beside(InventoryClip picture, KitId recorder, InventoryClip[] sounds, Duration offset)
    {
        SoundBeside[] byTimecode = [.. sounds
            .Where(sound => Shift(picture, sound) is not null)
            .Select(sound => new SoundBeside(recorder, sound.Path, Beside(picture, sound, Shift(picture, sound)!.Value), Duration.Zero, ByTimecode: true))
            .Where(beside => beside.Share >= LeastShare)];
        return byTimecode.Length > 0
            ? byTimecode
            : [.. sounds
                .Select(sound => new SoundBeside(
                    recorder, sound.Path, Beside(picture, sound, sound.Recorded!.Value + offset - picture.Recorded!.Value), offset, ByTimecode: false))
                .Where(beside => beside.Share >= LeastShare)];
    }
}
