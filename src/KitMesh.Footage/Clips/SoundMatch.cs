using NodaTime;

namespace KitMesh.Footage.Clips;

// The problem: picture and sound are recorded by different devices, and a take without sound must be told on the day, not
// in the edit. The traps: camera clocks drift and are set by hand, so clock times of two devices do not meet; timecode
// does, but it begins anew each midnight and some devices have none. The method: where both have timecode, they match
// when their spans of timecode overlap and their clocks say about the same day; each such pair teaches how far the two
// devices' clocks are apart (the median is kept, so that one wrong pair does not count); pictures without a match are then
// compared by clock, corrected by what was learnt. Holes in the sound are the spans of picture that no sound covers.
// Common practice, no source.

/// <summary>Which picture has which sound.</summary>
public static class SoundMatch
{
    private static readonly Duration SameDay = Duration.FromHours(18);
    private static readonly Duration Day = Duration.FromDays(1);

    /// <summary>Matches pictures with sound.</summary>
    /// <param name="clips">All recordings of a day or a trip.</param>
    /// <returns>One for each picture, in the order of their starts.</returns>
    public static IReadOnlyList<SoundFinding> Find(IReadOnlyCollection<ClipTimes> clips)
    {
        ArgumentNullException.ThrowIfNull(clips);
        List<ClipTimes> sounds = [.. clips.Where(clip => clip.IsSound)];
        List<ClipTimes> pictures = [.. clips.Where(clip => !clip.IsSound).OrderBy(clip => clip.Start).ThenBy(clip => clip.Path, StringComparer.Ordinal)];
        var apart = Learn(pictures, sounds);
        return [.. pictures.Select(picture => One(picture, sounds, apart))];
    }

    private static Dictionary<(string Picture, string Sound), Duration> Learn(List<ClipTimes> pictures, List<ClipTimes> sounds)
    {
        var pairs =
            from picture in pictures
            from sound in sounds
            let shift = TimecodeShift(picture, sound)
            where shift is not null && Overlap(picture.Length, shift.Value, sound.Length) > Duration.Zero
            select (Key: (picture.Device, sound.Device), Apart: sound.Start - picture.Start - shift.Value);
        return pairs.GroupBy(pair => pair.Key).ToDictionary(group => group.Key, group => Median([.. group.Select(pair => pair.Apart).Order()]));
    }

    private static Duration Median(List<Duration> sorted) => sorted[sorted.Count / 2];

    private static Duration? TimecodeShift(ClipTimes picture, ClipTimes sound) => TimecodeShift(picture.Timecode, sound.Timecode, sound.Start - picture.Start);

    /// <summary>How much later a sound begins than a picture, by timecode, within half a day; null when it cannot be told.</summary>
    /// <param name="picture">Timecode of the picture's start.</param>
    /// <param name="sound">Timecode of the sound's start.</param>
    /// <param name="clocks">How much later it begins by the two clocks: timecode begins anew each midnight.</param>
    public static Duration? TimecodeShift(Duration? picture, Duration? sound, Duration clocks)
    {
        if (picture is not { } one || sound is not { } other || clocks > SameDay || clocks < -SameDay)
        {
            return null;
        }

        Duration shift = other - one;
        return shift > Day / 2 ? shift - Day : shift < -(Day / 2) ? shift + Day : shift;
    }

    private static Duration Overlap(Duration picture, Duration shift, Duration sound)
    {
        Duration from = shift > Duration.Zero ? shift : Duration.Zero;
        Duration to = shift + sound < picture ? shift + sound : picture;
        return to > from ? to - from : Duration.Zero;
    }

    private static SoundFinding One(ClipTimes picture, List<ClipTimes> sounds, Dictionary<(string, string), Duration> apart)
    {
        List<(ClipTimes Sound, Duration Shift)> byTimecode = [.. sounds
            .Select(sound => (sound, TimecodeShift(picture, sound)))
            .Where(pair => pair.Item2 is { } shift && Overlap(picture.Length, shift, pair.sound.Length) > Duration.Zero)
            .Select(pair => (pair.sound, pair.Item2!.Value))];
        if (byTimecode.Count > 0)
        {
            return Finding(picture, byTimecode, SoundBasis.Timecode);
        }

        bool learnt = sounds.Exists(sound => apart.ContainsKey((picture.Device, sound.Device)));
        List<(ClipTimes Sound, Duration Shift)> byClock = [.. sounds
            .Select(sound => (Sound: sound, Shift: sound.Start - picture.Start - apart.GetValueOrDefault((picture.Device, sound.Device))))
            .Where(pair => Overlap(picture.Length, pair.Shift, pair.Sound.Length) > Duration.Zero)];
        return Finding(picture, byClock, learnt ? SoundBasis.LearntClock : SoundBasis.Clock);
    }

    private static SoundFinding Finding(ClipTimes picture, List<(ClipTimes Sound, Duration Shift)> found, SoundBasis basis)
    {
        // Two recorders may overlap: what counts is the span of picture that at least one of them covers.
        Duration covered = Duration.Zero;
        Duration upTo = Duration.Zero;
        foreach ((ClipTimes sound, Duration shift) in found.OrderBy(pair => pair.Shift))
        {
            Duration from = shift > upTo ? shift : upTo;
            Duration to = shift + sound.Length < picture.Length ? shift + sound.Length : picture.Length;
            if (to > from)
            {
                covered += to - from;
                upTo = to;
            }
        }

        return new SoundFinding(picture, [.. found.Select(pair => pair.Sound.Path)], basis, covered);
    }
}
